import { type Told, told } from '../catalogue/index.ts';
import { shapeIn } from '../drainage/index.ts';
import {
  type Control,
  distanceTo,
  type Fluid,
  INLET_KINDS,
  isOfKind,
  metreFrame,
  middleOfZone,
  type SiteMap,
  type StructureKind,
} from '../site-map/index.ts';
import type { PosedSpill } from './question.ts';

/** What decides which words of safety count. Left out, `fluidFrom` counts as said. */
export type SpillDanger = Pick<PosedSpill, 'fluid' | 'mayBeGasoline'> & Partial<Pick<PosedSpill, 'fluidFrom'>>;

/** Something that somebody is sent to do, and the kind of structure it is done at; null for a zone and for a device. */
export interface SafeStep {
  control: Control;
  kind: StructureKind | null;
}

/** Words of safety, each a whole sentence, in the order in which they are said. */
export interface SpillSafety {
  /** Ahead of everything: of the answer, of a card, of the mode on a screen. */
  first: Told[];
  /** Ahead of the step that was asked about; empty without one, and where nobody is sent anywhere. */
  before: Told[];
  /** Beside every plan. */
  always: Told[];
}

/** Said first where nobody fears gasoline. */
export const FIRST_WORDS = told('spill.first-words');

/** Fluids that give off no vapour to fear at a yard's temperatures: their flash points lie far over those of summer pavement. */
const NO_VAPOUR: readonly Fluid[] = ['motor-oil', 'hydraulic-oil', 'gear-oil', 'coolant', 'cooking-oil'];

/**
 * Whether its vapour may light. Diesel's flash point is 38 to 54 °C (NFPA fire protection guide), which pavement passes
 * in the sun. What nobody knows may be a fuel.
 */
const mayLight = (fluid: Fluid | null) => fluid === null || !NO_VAPOUR.includes(fluid);

/**
 * What protects people from a spill, said before anything else. Fire and injury come first, then the fluid. Gasoline, and
 * what may be gasoline, sends nobody to do anything: get out, keep everyone and every spark away, call. Never dispersants
 * or emulsifiers: 40 CFR 110.4. Whether it is more than somebody is trained for hangs on no number of litres (29 CFR
 * 1910.120(a)(3)), so it is always asked. O(1).
 *
 * @example
 * import { safetyFor } from 'oilshed/spill';
 * const step = { control: 'plug', kind: 'manhole' } as const;
 * safetyFor({ fluid: 'motor-oil', mayBeGasoline: false }, step).before.map(({ told }) => told); // → ['spill.before-trained', 'spill.before-lid']
 * safetyFor({ fluid: null, mayBeGasoline: true }, step).before; // → []
 */
export function safetyFor({ fluid, mayBeGasoline, fluidFrom = 'said' }: SpillDanger, step?: SafeStep): SpillSafety {
  const first = [
    told('spill.fire-or-injury'),
    ...fluidWords(mayBeGasoline ? (fluid ?? 'unknown') : (fluid ?? 'other')),
  ];
  if (fluid === 'other' && fluidFrom === 'assumed') first.push(told('spill.fluid-not-known'));
  return {
    first,
    before: step && !mayBeGasoline ? stepWords(step, mayLight(fluid)) : [],
    always: [
      told('spill.caution-trained'),
      told('spill.caution-gloves'),
      told('spill.caution-traffic'),
      told(mayLight(fluid) ? 'spill.caution-lid-fuel' : 'spill.caution-lid'),
      told('spill.caution-vault'),
      told('spill.caution-hosing'),
      told('spill.caution-report'),
      told('spill.caution-advice'),
    ],
  };
}

function fluidWords(fluid: Fluid | 'unknown'): Told[] {
  if (fluid === 'gasoline') return [told('spill.gasoline')];
  if (fluid === 'unknown') return [told('spill.may-be-gasoline')];
  return [
    FIRST_WORDS,
    ...(mayLight(fluid) ? [told('spill.no-ignition')] : []),
    ...(fluid === 'coolant' ? [told('spill.coolant')] : []),
  ];
}

function stepWords({ control, kind }: SafeStep, isFuel: boolean): Told[] {
  const lid = told(isFuel ? 'spill.before-lid-fuel' : 'spill.before-lid');
  switch (control) {
    case 'sock':
    case 'cover':
      return [told('spill.before-grate')];
    case 'plug':
      return [told('spill.before-trained'), lid];
    case 'boom':
      return kind === 'outfall' || kind === 'pond'
        ? [told('spill.before-bank')]
        : [...(isInlet(kind) ? [told('spill.before-grate')] : []), lid];
    case 'valve':
      return [told('spill.before-valve')];
    case 'berm':
    case 'absorb':
      return [told('spill.before-ground')];
    case 'fuel-stop':
    case 'pump-switch':
    case 'diverter':
      return [told('spill.before-device')];
    default:
      return control satisfies never;
  }
}

const isInlet = (kind: StructureKind | null) => kind !== null && INLET_KINDS.includes(kind);

/**
 * Nobody goes nearer to gasoline than this to turn it off: the distance in all directions of the Emergency Response
 * Guidebook for it (guide 128; from memory).
 */
const FAR_M = 50;

/**
 * Where the fuel of a zone can be turned off far from it, for gasoline: named, and no step of a plan. Null where the map
 * has no fuel stop of this zone over 50 m from its ground. O(devices).
 */
export function farShutOff({ others, zones }: Pick<SiteMap, 'others' | 'zones'>, zoneId: string): Told | null {
  const zone = zones.find(({ id }) => id === zoneId);
  if (!zone) return null;
  const frame = metreFrame(middleOfZone(zone));
  const ground = shapeIn(frame, zone);
  const far = others.flatMap((each) =>
    isOfKind(each, 'fuel-stop') &&
    each.properties.stops.includes(zoneId) &&
    distanceTo(ground, frame.toMetres(each.geometry.coordinates)) > FAR_M
      ? [each.properties.name ?? each.id]
      : [],
  );
  return far.length === 0 ? null : told('spill.far-shut-off', { places: { list: far } });
}

/** How deadly a fluid is beside others: gasoline, then what may light as diesel does, then the rest. */
const deadliness = (fluid: Fluid) => (fluid === 'gasoline' ? 2 : mayLight(fluid) ? 1 : 0);

/**
 * The fluid that decides how people go about a zone: gasoline before diesel before the rest, among equals the larger, then
 * the first that is listed; null where none is. O(fluids).
 *
 * @example
 * import { deadliest } from 'oilshed/spill';
 * deadliest([{ fluid: 'motor-oil', largestLitres: 208 }, { fluid: 'gasoline', largestLitres: 20 }])?.fluid; // → 'gasoline'
 */
export function deadliest<F extends { fluid: Fluid; largestLitres?: number }>(fluids: readonly F[]): F | null {
  const [first] = [...fluids].sort(
    (a, b) => deadliness(b.fluid) - deadliness(a.fluid) || (b.largestLitres ?? 0) - (a.largestLitres ?? 0),
  );
  return first ?? null;
}

/** Words that stand beside every plan for a fluid; null where nobody knows which. */
export const cautionsFor = (fluid: Fluid | null): Told[] =>
  safetyFor({ fluid, mayBeGasoline: fluid === null || fluid === 'gasoline' }).always;

/** What the fluid alone calls for; `possible` are the fluids of the zone, which count where it is not known. */
export function fluidAdvice(fluid: Fluid | null, possible: readonly Fluid[]): Told[] {
  const isNamed = fluid !== null || possible.includes('gasoline');
  return isNamed ? fluidWords(fluid ?? 'unknown').filter((each) => !SAID_OF_ALL.has(each.told)) : [];
}

const SAID_OF_ALL: ReadonlySet<string> = new Set([FIRST_WORDS.told, 'spill.no-ignition']);
