import { type Told, told } from '../catalogue/index.ts';
import type { Drainage } from '../drainage/index.ts';
import type { Problem } from '../site-map/index.ts';
import { cautionsFor, fluidAdvice, type ModelFacts, poseSpill, type SpillRun } from '../spill/index.ts';
import type { BlockAnswer, BlockPlan, BlockQuestion, PlannedControl } from './answer.ts';
import { assumedIn } from './assumed.ts';
import { backingUpOf } from './backing-up.ts';
import { type Choice, type Chosen, NO_GAP } from './choice.ts';
import { CLEAN_LITRES } from './clean-up.ts';
import type { Containment } from './containment.ts';
import { isHeld, stillToCome } from './held.ts';
import { inPlace } from './offers.ts';
import { keptBy, oilMinutesAt, singlesOf } from './singles.ts';
import { type Situation, situationOf } from './situation.ts';
import { timedPlan } from './timed.ts';
import { untimedPlan } from './untimed.ts';
import { watersIn } from './waters.ts';
import { whilePlacing } from './while-placing.ts';

/** Minutes before the first drop by which a single counts as in time, where nobody says otherwise. */
const DEFAULT_MARGIN_MINUTES = 2;

/**
 * What still can be kept of a spill, by the people who are there: which controls to place, by whom and in which order, so
 * that the least oil gets into water, then into public drains, then past the spill's own grates, counted in whole steps,
 * and then for the least money. What is placed already counts, and what has passed is gone. `answer` is null, with the
 * problem that says why, only for a zone that is not on the map.
 *
 * @example
 * import { findBlocks } from 'oilshed/block';
 * import { compileDrainage } from 'oilshed/drainage';
 * import { readSiteMap } from 'oilshed/site-map';
 * const lid = (id: string, kind: string, x: number) => ({ type: 'Feature', id, properties: { kind }, geometry: { type: 'Point', coordinates: [x, 40] } });
 * const line = { type: 'LineString', coordinates: [[-105, 40], [-104.999, 40]] };
 * const pipe = { type: 'Feature', id: 'P-1', properties: { kind: 'pipe', from: 'CB-1', to: 'OUT-1' }, geometry: line };
 * const ring = [[-105.001, 40], [-105, 40], [-105, 40.001], [-105.001, 40]];
 * const zone = { type: 'Feature', id: 'Z-1', properties: { kind: 'zone', activity: 'parking', drainsTo: 'CB-1' }, geometry: { type: 'Polygon', coordinates: [ring] } };
 * const features = [lid('CB-1', 'catch-basin', -105), lid('OUT-1', 'outfall', -104.999), pipe, zone];
 * const { map } = readSiteMap(JSON.stringify({ type: 'FeatureCollection', site: { format: 'oilshed-site', version: 1 }, features }));
 * const { answer } = findBlocks(compileDrainage(map), { place: { zone: 'Z-1' }, litres: 100, fluid: 'diesel' });
 * answer?.plan.controls.map(({ control, at }) => `${control} ${at}`); // → ['cover CB-1']
 * answer?.plan.totalCost; // → 40
 * answer?.doNothing.waters; // → ['OUT-1']
 */
export function findBlocks(
  drainage: Drainage,
  question: BlockQuestion,
  facts?: ModelFacts,
): { answer: BlockAnswer | null; problems: Problem[] } {
  const { posed, problems } = poseSpill(drainage, question);
  if (!posed) return { answer: null, problems };
  const situation = situationOf(drainage, posed, { question, facts });
  const { hands, nothing, model, cleanUpAfter, steps, alone } = situation;
  const marginMinutes = question.marginMinutes ?? DEFAULT_MARGIN_MINUTES;
  const choice = choose(situation);
  const plan = planOf(situation, choice);
  const { start, ...spill } = posed;
  const backingUp = backingUpOf(drainage, plan.controls, posed.rainMmPerH);
  const cost = cleanUpAfter(nothing.likely).cost;
  const fluids = start.zone?.properties.fluids?.map(({ fluid }) => fluid) ?? [];
  const answer: BlockAnswer = {
    zone: start.zone?.id ?? null,
    inlets: start.waysIn.map(({ to }) => to),
    fluid: posed.fluid,
    ...{ spill, plan, state: choice.state, doNothingCost: cost, marginMinutes, backingUp },
    doNothing: {
      cost,
      litres: nothing.likely.litres(),
      pastGrates: nothing.likely.pastGrates,
      waters: watersIn(nothing.likely.fouled(CLEAN_LITRES)),
    },
    singles: singlesOf(alone, {
      model,
      nothing: nothing.likely,
      cleanUpAfter,
      steps,
      isTimed: hands !== null,
      marginMinutes,
    }),
    isTimed: hands !== null,
    hands: hands ?? [],
    advice: fluidAdvice(posed.fluid, fluids),
    cautions: cautionsFor(posed.fluid),
    whilePlacing: whilePlacing(drainage.map, plan.controls, { rainMmPerH: posed.rainMmPerH, backingUp }),
    assumed: assumedIn(situation, choice),
  };
  return { answer, problems };
}

/** What to place next, and where things stand. */
function choose(situation: Situation): Choice {
  const { model, hands, nothing, steps, placed } = situation;
  const { mayBeGasoline, start, agoMinutes } = model.posed;
  const none = (why: Told, state: BlockAnswer['state'] = 'hand-over'): Choice => ({
    ...{ chosen: [], why, state, gap: NO_GAP, bestOf: null },
  });
  if (mayBeGasoline) return none(told('block.why-gasoline'));
  if (start.waysIn.length === 0) return none(told('block.why-nowhere'));
  if (hands?.length === 0) return none(told('block.why-nobody'));
  if (placed.length > 0 && isHeld(stillToCome(model, nothing.sure, agoMinutes), steps))
    return none(told('block.why-held'), 'held');
  const choice = hands ? timedPlan(situation, hands) : cutPlan(situation);
  if (choice.chosen.length > 0 || choice.state === 'held') return choice;
  return none(told('block.why-nothing-left'));
}

/** The minimum cut as a choice. */
function cutPlan({ model: { drainage, posed }, question, crew }: Situation): Choice {
  const { controls }: Containment = untimedPlan(drainage, posed, question);
  const chosen = controls.flatMap(({ at, control }): Chosen[] => {
    const offer = crew.offers.find((each) => each.at === at && each.control === control);
    return offer ? [{ offer, minutes: Number.NEGATIVE_INFINITY, hand: null, kit: null }] : [];
  });
  return { chosen, why: null, state: 'running', gap: NO_GAP, bestOf: null };
}

function planOf(situation: Situation, { chosen, why, gap }: Choice): BlockPlan {
  const { model, placed, cleanUpAfter } = situation;
  const put = chosen.map(({ offer, minutes }) => inPlace(offer, minutes));
  const run = model.run([...placed, ...put]);
  const fouled = run.fouled(CLEAN_LITRES);
  const controlCost = chosen.reduce((sum, { offer }) => sum + offer.cost, 0);
  const { cost: cleanupCost, low, high } = cleanUpAfter(run);
  return {
    controls: chosen.map((each, at) =>
      plannedControl(situation, each, {
        run,
        without: model.run([...placed, ...put.filter((_, other) => other !== at)]),
      }),
    ),
    ...{ why, controlCost, cleanupCost, gap },
    totalCost: controlCost + cleanupCost,
    costRange: { low: controlCost + low, high: controlCost + high },
    litres: run.litres(),
    pastGrates: run.pastGrates,
    fouled: fouled.map(({ item }) => item.id),
    waters: watersIn(fouled),
  };
}

function plannedControl(
  { model }: Situation,
  { offer, minutes, hand, kit }: Chosen,
  { run, without }: { run: SpillRun; without: SpillRun },
): PlannedControl {
  const { agoMinutes } = model.posed;
  const oil = oilMinutesAt(model, offer) - agoMinutes;
  return {
    at: offer.at,
    control: offer.control,
    cost: offer.cost,
    oilMinutes: Number.isFinite(oil) ? Math.max(0, oil) : null,
    crewMinutes: Number.isFinite(minutes) ? minutes - agoMinutes : null,
    ...{ kit, hand },
    keepsLitres: keptBy(offer, { without, with: run }),
    needs: offer.needs,
    minutes: offer.minutes,
    isDefaultTime: offer.isDefaultTime,
  };
}
