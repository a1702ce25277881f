import { type Control, DEVICE_CONTROLS, isOfKind, type Position, type SiteMap } from '../site-map/index.ts';

/** What can be fetched at one place. */
export interface KitStock {
  id: string;
  position: Position;
  /** How many of each control; Infinity where the map does not count them, and for what is fetched from no kit. */
  stock: Readonly<Record<Control, number>>;
  /** Litres that its sorbent takes up; Infinity where the map does not count them. */
  sorbentLitres: number;
  /** Millimetres across its covers; null where the map does not say. */
  coverMm: number | null;
}

/** One sock is made of this much sorbent where a kit lists no socks. A guess: a sock of 1.2 m takes up some 20 L. */
const SORBENT_LITRES_PER_SOCK = 20;

/** Whether a control comes out of a kit: a valve is part of the pipe, and a device is where it is. */
export const comesFromKit = (control: Control): boolean =>
  control !== 'valve' && !DEVICE_CONTROLS.some((device) => device === control);

/**
 * What the map's kits hold. A kit that lists its contents holds the covers and plugs it lists; where it has sorbent and
 * lists no socks, one for each 20 L, and where it lists no booms or berms as many as are wanted, for they can be laid from
 * it. What a kit holds that lists nothing is not counted. O(features).
 */
export function kitsOf({ others }: SiteMap): KitStock[] {
  return others.flatMap((feature): KitStock[] => {
    if (!isOfKind(feature, 'kit')) return [];
    const { id, properties, geometry } = feature;
    const { contents, coverMm = null } = properties;
    const any = Number.POSITIVE_INFINITY;
    const sorbentLitres = contents ? (contents.sorbentLitres ?? 0) : any;
    const fromSorbent = sorbentLitres > 0 ? any : 0;
    const stock = {
      cover: contents ? (contents.covers ?? 0) : any,
      plug: contents ? (contents.plugs ?? 0) : any,
      boom: contents?.booms ?? fromSorbent,
      berm: contents?.berms ?? fromSorbent,
      sock: contents?.socks ?? Math.floor(sorbentLitres / SORBENT_LITRES_PER_SOCK),
      absorb: fromSorbent,
      valve: any,
      'fuel-stop': any,
      'pump-switch': any,
      diverter: any,
    };
    return [{ id, position: geometry.coordinates, stock, sorbentLitres, coverMm }];
  });
}

/**
 * Whether a kit's covers close a grate: not where the map says that its opening is wider than they are. What is not stated is
 * taken to fit.
 */
export const coverFits = ({ coverMm }: KitStock, openingMm: number | undefined): boolean =>
  coverMm === null || openingMm === undefined || openingMm <= coverMm;
