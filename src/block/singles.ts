import { findFlowIndex, flowIndexOf } from '../drainage/index.ts';
import { byId, isOfKind, type SiteMap } from '../site-map/index.ts';
import type { SpillModel, SpillRun } from '../spill/index.ts';
import type { SingleControl } from './answer.ts';
import { CLEAN_LITRES } from './clean-up.ts';
import { inPlace, type Offer } from './offers.ts';
import type { CleanUpAfter } from './tried.ts';
import { type Steps, wholeSteps } from './value.ts';
import { watersIn } from './waters.ts';

/** One control, and when it would be in place; Infinity where nobody can place it, -Infinity while time is not counted. */
export interface Alone {
  offer: Offer;
  minutes: number;
  inStock: boolean;
}

/** Against what a control is held that is the only one. */
export interface AloneFacts {
  model: SpillModel;
  /** What happens if nothing (more) is done. */
  nothing: SpillRun;
  cleanUpAfter: CleanUpAfter;
  steps: Steps;
  isTimed: boolean;
  marginMinutes: number;
}

/**
 * Every control alone, most worth first: those that keep a step past the spill's own grates, then by the litres they
 * keep, then by what they save. O(controls × what lies below them).
 */
export function singlesOf(alone: readonly Alone[], facts: AloneFacts): SingleControl[] {
  const { steps } = facts;
  const isFirst = ({ offer }: { offer: Offer }, { keepsLitres }: SingleControl) =>
    offer.isOwn && wholeSteps(keepsLitres, steps[2]) > 0 ? 1 : 0;
  return alone
    .map((each) => ({ ...each, single: singleOf(each, facts) }))
    .sort(
      (a, b) =>
        isFirst(b, b.single) - isFirst(a, a.single) ||
        b.single.keepsLitres - a.single.keepsLitres ||
        b.single.saves - a.single.saves ||
        byId(a.single.at, b.single.at) ||
        byId(a.single.control, b.single.control),
    )
    .map(({ single }) => single);
}

function singleOf({ offer, minutes, inStock }: Alone, facts: AloneFacts): SingleControl {
  const { model, nothing, cleanUpAfter, isTimed, marginMinutes } = facts;
  const { at, control, cost, needs } = offer;
  const ago = model.posed.agoMinutes;
  const run = minutes === Number.POSITIVE_INFINITY ? nothing : nothing.with(inPlace(offer, minutes));
  const totalCost = cost + cleanUpAfter(run).cost;
  const oil = oilMinutesAt(model, offer) - ago;
  const crewMinutes = Number.isFinite(minutes) ? minutes - ago : null;
  const spare = crewMinutes === null ? null : oil - marginMinutes - crewMinutes;
  return {
    ...{ at, control, cost, totalCost, needs, inStock, crewMinutes },
    saves: cleanUpAfter(nothing).cost - totalCost,
    oilMinutes: Number.isFinite(oil) ? Math.max(0, oil) : null,
    keepsLitres: keptBy(offer, { without: nothing, with: run }),
    spareMinutes: spare !== null && Number.isFinite(spare) ? spare : null,
    inTime: !isTimed || (spare !== null && spare >= 0),
    waters: watersIn(run.fouled(CLEAN_LITRES)),
  };
}

/**
 * Litres that one control keeps: at the source, on the spill's own ground and at its grates those that get past these no
 * more, elsewhere those that stay at it or get into no water and no public drain any more.
 */
export function keptBy({ isOwn }: Offer, { without, with: run }: { without: SpillRun; with: SpillRun }): number {
  if (without === run) return 0;
  if (isOwn) return Math.max(0, without.pastGrates - run.pastGrates);
  const out = ({ toWater, toPublicDrain }: SpillRun) => toWater + toPublicDrain;
  return Math.max(0, run.litres().kept - without.litres().kept, out(without) - out(run));
}

/**
 * Minutes of the model until oil can first be at a control, no sooner; Infinity where it never is. A sock or a cover is
 * too late once oil is at the grate over the surface, anything in the chamber once oil is in it.
 */
export function oilMinutesAt({ drainage, arrivals, layout }: SpillModel, { at, control }: Offer): number {
  const { minutes, surfaceMinutes } = arrivals;
  const least = (indices: readonly number[], times: Float64Array) =>
    Math.min(Number.POSITIVE_INFINITY, ...indices.map((index) => times[index]));
  const grates = layout.ground.map(({ to }) => layout.reached[to].index);
  switch (control) {
    case 'fuel-stop':
      return 0;
    case 'berm':
    case 'absorb':
      return least(grates, surfaceMinutes);
    case 'sock':
    case 'cover':
      return surfaceMinutes[flowIndexOf(drainage, at)];
    case 'pump-switch':
    case 'diverter':
      return least(
        structuresOf(drainage.map, at).flatMap((id) => findFlowIndex(drainage, id) ?? []),
        minutes,
      );
    default:
      return minutes[flowIndexOf(drainage, at)];
  }
}

/** The structures at which a device acts. */
function structuresOf({ others }: SiteMap, device: string): readonly string[] {
  const found = others.find(({ id }) => id === device);
  if (found && isOfKind(found, 'pump-switch')) return found.properties.stops;
  return found && isOfKind(found, 'diverter') ? [found.properties.at] : [];
}
