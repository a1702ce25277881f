import {
  CONTROLS,
  type Control,
  daysBetween,
  type Fluid,
  isOfKind,
  type Position,
  type SiteMap,
  type Structure,
  type StructureKind,
  type Zone,
} from '../site-map/index.ts';

/** What a control is taken to be where the map states nothing: money in USD, minutes to set it up, what it keeps. */
interface UsualControl {
  cost: number;
  minutes: number;
  /** Part of what comes that it keeps, 0 to 1. */
  holds: number;
  /** Litres that it can keep. */
  litres: number;
}

const UNLIMITED = Number.POSITIVE_INFINITY;

/**
 * Controls where the map states nothing. All are guesses, prices within ×/÷ 3, minutes those of somebody who has done it
 * before: edit them in `site.costs.controls` or on a feature. A valve's minutes are those of one turned within a year.
 */
const USUAL: Readonly<Record<Control, UsualControl>> = {
  'fuel-stop': { cost: 0, minutes: 0.5, holds: 1, litres: UNLIMITED },
  'pump-switch': { cost: 0, minutes: 0.5, holds: 1, litres: UNLIMITED },
  diverter: { cost: 10, minutes: 2, holds: 1, litres: UNLIMITED },
  berm: { cost: 60, minutes: 5, holds: 0.7, litres: 100 },
  absorb: { cost: 20, minutes: 2, holds: 0.5, litres: 40 },
  sock: { cost: 20, minutes: 1, holds: 0.8, litres: 40 },
  cover: { cost: 40, minutes: 2, holds: 0.95, litres: UNLIMITED },
  boom: { cost: 60, minutes: 5, holds: 0.7, litres: 15 },
  plug: { cost: 80, minutes: 25, holds: 0.98, litres: UNLIMITED },
  valve: { cost: 10, minutes: 2, holds: 0.99, litres: UNLIMITED },
};
/** Minutes for a valve that nobody is known to have turned within a year: it may be stiff, or buried. A guess. */
const STIFF_VALVE_MINUTES = 10;
const DAYS_OF_A_YEAR = 365;

/** Only people trained for it place these: a plug goes into the pipe, from above. */
const FOR_TRAINED: readonly Control[] = ['plug'];

/** Ways to stop oil at a place where the map lists none, in the order in which oil meets them. */
const DEFAULT_CONTROLS: Readonly<Record<StructureKind, readonly Control[]>> = {
  'catch-basin': ['sock', 'cover', 'boom', 'plug'],
  'trench-drain': ['sock', 'cover'],
  manhole: ['plug'],
  separator: ['plug'],
  valve: ['valve'],
  pond: [],
  outfall: ['boom'],
  sanitary: [],
  edge: [],
};

/** A control that can be placed somewhere, with what it costs in the site's currency, takes and keeps. */
export interface ControlChoice extends UsualControl {
  control: Control;
  /** Whether the minutes are only a default: neither the feature nor the site states them. */
  isDefaultTime: boolean;
  /** Who it takes: only trained people; null: anybody. */
  needs: 'trained' | null;
}

/** What a map says of one control at one place, or of one control in the whole yard. */
interface StatedControl {
  cost?: number | undefined;
  minutes?: number | undefined;
  holds?: number | undefined;
  litres?: number | undefined;
}

/** The figures of a control: the feature's own count first, then the site's, then the defaults. */
function choiceOf({ site }: SiteMap, control: Control, stated: StatedControl, usualMinutes?: number): ControlChoice {
  const ofSite = site.costs?.controls?.[control];
  const usual = USUAL[control];
  const minutes = stated.minutes ?? ofSite?.minutes;
  return {
    control,
    cost: stated.cost ?? ofSite?.cost ?? usual.cost,
    minutes: minutes ?? usualMinutes ?? usual.minutes,
    isDefaultTime: minutes === undefined,
    holds: stated.holds ?? ofSite?.holds ?? usual.holds,
    litres: stated.litres ?? ofSite?.litres ?? usual.litres,
    needs: FOR_TRAINED.includes(control) ? 'trained' : null,
  };
}

const usualControls = (place: Zone | Structure): readonly Control[] =>
  'kind' in place ? DEFAULT_CONTROLS[place.kind] : ['absorb', 'berm'];

/**
 * The ways to stop oil at a structure, or on a zone's own ground, with their costs in the site's currency. An empty list on
 * a feature means that nothing can be done there; a valve that the map says is closed cannot be closed again. `on` is the
 * day, ISO: a valve turned within a year before it is quick; null where no day is known. O(controls listed).
 */
export function controlsAt(map: SiteMap, place: Zone | Structure, on: string | null): ControlChoice[] {
  const listed: readonly (StatedControl & { control: Control })[] =
    place.properties.controls ?? usualControls(place).map((control) => ({ control }));
  return listed.flatMap((stated): ControlChoice[] => {
    if (stated.control !== 'valve') return [choiceOf(map, stated.control, stated)];
    if (valveState(place) === 'closed') return [];
    return [choiceOf(map, 'valve', stated, wasTurned(place, on) ? USUAL.valve.minutes : STIFF_VALVE_MINUTES)];
  });
}

const valveState = (place: Zone | Structure) =>
  'kind' in place && place.kind === 'valve' ? place.properties.state : undefined;

/** Whether a valve was turned within a year before the day, or later than it: the map may be newer than the question. */
function wasTurned(place: Zone | Structure, on: string | null): boolean {
  if (on === null || !('kind' in place) || place.kind !== 'valve') return false;
  const { exercised } = place.properties;
  return exercised !== undefined && daysBetween(exercised, on) <= DAYS_OF_A_YEAR;
}

/** The newest day that the map tells, ISO, for what depends on a day where nobody names one; null where it tells none. */
export function newestDay({ structures }: SiteMap): string | null {
  const days = structures.flatMap((each) =>
    each.kind === 'valve' && each.properties.exercised !== undefined ? [each.properties.exercised.slice(0, 10)] : [],
  );
  return days.reduce<string | null>((newest, day) => (newest !== null && newest >= day ? newest : day), null);
}

/** Something that somebody can turn or press, as a control: it needs no kit. */
export type Device = ControlChoice & { id: string; position: Position } & (
    | {
        control: 'fuel-stop' | 'pump-switch';
        /** Zones whose fuel it turns off, or manholes whose pumps. */
        stops: readonly string[];
      }
    | {
        control: 'diverter';
        /** What comes to `at` goes on to `to` once it is turned. */
        at: string;
        to: string;
      }
  );

/** Fuel stops, pump switches and diverters, in the map's order. O(features). */
export function devicesOf(map: SiteMap): Device[] {
  return map.others.flatMap((feature): Device[] => {
    if (!isOfKind(feature, 'fuel-stop', 'pump-switch', 'diverter')) return [];
    const { id, properties, geometry } = feature;
    const place = { id, position: geometry.coordinates };
    const choice = choiceOf(map, properties.kind, {});
    return properties.kind === 'diverter'
      ? [{ ...choice, ...place, control: properties.kind, at: properties.at, to: properties.to }]
      : [{ ...choice, ...place, control: properties.kind, stops: properties.stops }];
  });
}

/** Somebody who can be called and takes oil up. */
export interface Responder {
  /** As the map writes it. */
  role: string;
  /** Minutes from the call until they are there; null where the map does not say. */
  callOutMinutes: number | null;
  /** L/s that they take up; null where the map does not say. */
  lps: number | null;
}

/** Who the map says can be called, soonest there first; those that state no minutes last. O(responders). */
export function respondersOf({ site }: SiteMap): Responder[] {
  return (site.responders ?? [])
    .map(({ role, callOutMinutes = null, lps = null }) => ({ role, callOutMinutes, lps }))
    .sort((a, b) => (a.callOutMinutes ?? UNLIMITED) - (b.callOutMinutes ?? UNLIMITED) || 0);
}

/**
 * Controls that do nothing for a fluid, or that nobody may be sent to place: all of them for gasoline, whose vapours
 * burn, and booms for coolant, which mixes with water. None for a fluid that is not known.
 */
export function controlsWithout(fluid: Fluid | null): readonly Control[] {
  if (fluid === 'gasoline') return CONTROLS;
  return fluid === 'coolant' ? ['boom'] : [];
}
