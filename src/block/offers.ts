import type { Drainage } from '../drainage/index.ts';
import { middleOfZone, type Position } from '../site-map/index.ts';
import type { PlacedControl, SpillModel, SpillPlace } from '../spill/index.ts';
import { type ControlChoice, controlsAt, controlsWithout, type Device, devicesOf } from './costs.ts';
import { comesFromKit } from './kits-stock.ts';

/** A control that somebody could place on the oil's way. */
export interface Offer extends ControlChoice {
  /** The structure; for a berm or an absorbent the zone; for a device its own id. */
  at: string;
  /** Where somebody stands who places it. */
  position: Position;
  isFromKit: boolean;
  /** Whether it acts at the source, on the spill's own ground or at its own grates. */
  isOwn: boolean;
  /** Millimetres that a cover has to span; undefined where nothing is known, and for anything else. */
  openingMm: number | undefined;
  /**
   * What keeps at least as much and sends nothing anywhere else: the control itself, but for a diverter and for a cover
   * past which oil runs on. What any plan can do at best is found with these.
   */
  atBest: Kept;
}

/** A control and what it keeps, wherever its hand is. */
type Kept = Pick<PlacedControl, 'at' | 'control' | 'holds' | 'litres'>;

/**
 * Every control that could be placed on the way of a spill: on its own ground, at each structure that it reaches, and
 * devices that somebody can turn; `on` is the day, ISO. None where nobody may be sent near the oil. O(reached structures
 * and devices).
 */
export function offersFor(model: SpillModel, { place, on }: { place: SpillPlace; on: string | null }): Offer[] {
  const { posed, drainage } = model;
  if (posed.mayBeGasoline) return [];
  const without = controlsWithout(posed.fluid);
  const turned = devicesOf(drainage.map).flatMap((device) => deviceOffer(model, device) ?? []);
  return [...turned, ...onGround(model, { place, on }), ...atStructures(model, on)].filter(
    ({ control }) => !without.includes(control),
  );
}

function offer(
  { control, cost, minutes, isDefaultTime, holds, litres, needs }: ControlChoice,
  more: Pick<Offer, 'at' | 'position'> & Partial<Offer>,
): Offer {
  const { at } = more;
  return {
    ...{ control, cost, minutes, isDefaultTime, holds, litres, needs },
    isFromKit: comesFromKit(control),
    isOwn: false,
    openingMm: undefined,
    atBest: { at, control, holds, litres },
    ...more,
  };
}

function onGround(
  { drainage: { map }, posed }: SpillModel,
  { place, on }: { place: SpillPlace; on: string | null },
): Offer[] {
  const { zone } = posed.start;
  if (!zone) return [];
  const position = 'point' in place ? place.point : middleOfZone(zone);
  return controlsAt(map, zone, on).map((choice) => offer(choice, { at: zone.id, position, isOwn: true }));
}

function atStructures({ drainage, layout }: SpillModel, on: string | null): Offer[] {
  const { out, ways } = layout;
  return layout.reached.flatMap(({ structure, isOwnGrate, runsOn }, number) => {
    // An overland link leaves from before the grate, so nothing at the grate stops it.
    const leavesOver = out.edges
      .subarray(out.rows[number], out.rows[number + 1])
      .some((way) => isOverland(drainage, ways[way].edge));
    return controlsAt(drainage.map, structure, on).flatMap((choice): Offer[] => {
      const { control, holds, litres } = choice;
      const isAtGrate = control === 'sock' || control === 'cover';
      if (isAtGrate && leavesOver) return [];
      const { id: at, position, properties } = structure;
      const runsPast = control === 'cover' && runsOn >= 0;
      return [
        offer(choice, {
          ...{ at, position, isOwn: isAtGrate && isOwnGrate },
          openingMm: control === 'cover' ? properties.openingMm : undefined,
          atBest: { at, control: runsPast ? 'sock' : control, holds, litres },
        }),
      ];
    });
  });
}

const isOverland = ({ linkAt }: Drainage, edge: number) => edge >= 0 && linkAt[edge]?.kind === 'overland';

/** A device, where turning it does something about this spill. */
function deviceOffer({ posed, layout: { reached, numberOf } }: SpillModel, device: Device): Offer | null {
  const { id, position } = device;
  const numberAt = (structure: string) => numberOf.get(structure) ?? -1;
  if ('stops' in device && device.control === 'fuel-stop') {
    const { zone } = posed.start;
    return zone && device.stops.includes(zone.id) ? offer(device, { at: id, position, isOwn: true }) : null;
  }
  if ('stops' in device)
    return device.stops.some((manhole) => reached[numberAt(manhole)]?.pump)
      ? offer(device, { at: id, position })
      : null;
  if (!('at' in device) || !reached[numberAt(device.at)]?.diverts?.has(id)) return null;
  const atBest = { at: device.at, control: 'plug' as const, holds: 1, litres: Number.POSITIVE_INFINITY };
  return offer(device, { at: id, position, atBest });
}

/** A control in place from a minute of the model on. */
export const inPlace = ({ at, control, holds, litres }: Kept, minutes: number): PlacedControl => ({
  ...{ at, control, holds, litres, minutes },
});
