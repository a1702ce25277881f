import { readFileSync } from 'node:fs';
import {
  type BlockAnswer,
  type BlockQuestion,
  controlsAt,
  devicesOf,
  findBlocks,
  newestDay,
} from '../../src/block/index.ts';
import { compileDrainage, type Drainage } from '../../src/drainage/index.ts';
import { isOfKind, middleOfZone, readSiteMap, walkingGround, type Zone } from '../../src/site-map/index.ts';
import { type PlacedControl, poseSpill, type SpillModel, spillModel } from '../../src/spill/index.ts';

export const YARDS = ['freight-depot', 'gravel-haul-yard', 'two-bay-garage'];
/** Litres over minutes. */
export const RELEASES = [
  { litres: 20, overMinutes: 30 },
  { litres: 60, overMinutes: 10 },
  { litres: 200, overMinutes: 2 },
];
/** Dry, and rain that makes all ground run, in mm/h. */
export const RAINS = [0, 10];
export const HANDS = ['alone', 'with a crew', 'crews only'] as const;
export type HandsCase = (typeof HANDS)[number];

/** What gets past the spill's own grates, and out of the yard, in litres. */
export interface Passed {
  pastGrates: number;
  out: number;
}

/** One spill and what is done about it. */
export interface Trial {
  yard: string;
  zone: string;
  name: string;
  nothing: Passed;
  coverOnly: Passed;
  plan: Passed;
  unlimited: Passed;
  /** Where the plan begins: at the source, on the spill's own ground or at its grates; elsewhere; not at all. */
  first: 'own' | 'other' | 'none';
  /** The plan's first control, as a person reads it in the file; null where there is none. */
  firstControl: string | null;
  /** Whether a control at the source, on the spill's own ground or at its grates, alone, still keeps a step. */
  ownKeepsStep: boolean;
  /** Whether likely nothing passes the grates at all, so that the answer is a first step only. */
  isFirstStepOnly: boolean;
}

/** All trials with the same release, weather and hands. */
export interface SpillTable {
  litres: number;
  overMinutes: number;
  rainMmPerH: number;
  hands: HandsCase;
  trials: Trial[];
}

/** Parts of a release that make a step past the grates, and the least step in litres, as the answer counts them. */
const STEP_SHARE = 0.05;
const LEAST_STEP = 0.5;

const isWorking = ({ properties: { activity } }: Zone) => activity !== 'roof' && activity !== 'landscape';

/** Runs every trial. The same numbers each time: nothing in it is drawn by chance. */
export function runSpillStudy(print: (line: string) => void): SpillTable[] {
  const yards = YARDS.map((name) => ({
    name,
    drainage: compileDrainage(readSiteMap(readFileSync(`site-maps/${name}.geojson`, 'utf8')).map),
  }));
  return RAINS.flatMap((rainMmPerH) =>
    RELEASES.flatMap((release) =>
      HANDS.map((hands): SpillTable => {
        print(`${release.litres} L over ${release.overMinutes} min, ${rainMmPerH} mm/h, ${hands}`);
        const trials = yards.flatMap(({ name, drainage }) =>
          drainage.map.zones
            .filter(isWorking)
            .map((zone) => trialOf({ yard: name, drainage }, zone, { ...release, rainMmPerH, hands })),
        );
        return { ...release, rainMmPerH, hands, trials };
      }),
    ),
  );
}

function trialOf(
  { yard, drainage }: { yard: string; drainage: Drainage },
  zone: Zone,
  { hands, ...spill }: { litres: number; overMinutes: number; rainMmPerH: number; hands: HandsCase },
): Trial {
  const question: BlockQuestion = {
    place: { zone: zone.id },
    fluid: 'diesel',
    ...spill,
    hands: handsFor(drainage, zone, hands),
  };
  const { posed } = poseSpill(drainage, question);
  const { answer } = findBlocks(drainage, question);
  if (!posed || !answer) throw new Error(`no answer for ${zone.id} of ${yard}`);
  const model = spillModel(drainage, posed);
  const { start } = posed;
  const able = answer.singles.flatMap(({ at, control, crewMinutes }) =>
    crewMinutes === null ? [] : [placedAs(drainage, { at, control, minutes: crewMinutes })],
  );
  const grates = start.waysIn.map(({ to }) => to);
  const nearest = [...start.waysIn].sort((a, b) => a.metres - b.metres)[0]?.to;
  const devices = new Set(devicesOf(drainage.map).map(({ id }) => id));
  const own = new Set([zone.id, ...grates]);
  const nothing = passed(model, []);
  const step = Math.max(LEAST_STEP, STEP_SHARE * spill.litres);
  const keeps = (each: PlacedControl) => nothing.pastGrates - passed(model, [each]).pastGrates >= step - 1e-9;
  const first = answer.plan.controls[0];
  return {
    yard,
    zone: zone.id,
    name: zone.properties.name ?? zone.id,
    nothing,
    coverOnly: passed(
      model,
      able.filter(({ at, control }) => control === 'cover' && at === nearest),
    ),
    plan: passed(model, planned(drainage, answer)),
    unlimited: passed(model, able),
    first: !first ? 'none' : own.has(first.at) || devices.has(first.at) ? 'own' : 'other',
    firstControl: first ? `${first.control} at ${first.at}` : null,
    ownKeepsStep: able.some((each) => own.has(each.at) && keeps(each)),
    isFirstStepOnly: answer.doNothing.pastGrates < 0.05 && spill.rainMmPerH === 0,
  };
}

/** Someone in the middle of the zone, with the crew post that is nearest on foot, or all posts and nobody there. */
function handsFor({ map }: Drainage, zone: Zone, hands: HandsCase): BlockQuestion['hands'] {
  const here = { id: 'here', position: middleOfZone(zone) };
  const crews = map.others.flatMap((each) =>
    isOfKind(each, 'crew') ? [{ id: each.id, position: each.geometry.coordinates }] : [],
  );
  if (hands === 'alone') return [here];
  if (hands === 'crews only') return crews;
  const minutes = walkingGround(map).minutesFrom(
    here.position,
    crews.map(({ position }) => position),
  );
  const nearest = minutes.indexOf(Math.min(...minutes));
  return [here, ...crews.slice(nearest, nearest + 1)];
}

const planned = (drainage: Drainage, { plan }: BlockAnswer): PlacedControl[] =>
  plan.controls.map(({ at, control, crewMinutes }) =>
    placedAs(drainage, { at, control, minutes: crewMinutes ?? Number.NEGATIVE_INFINITY }),
  );

/** A control in place, with what the map says that it keeps. */
function placedAs(
  drainage: Drainage,
  { at, control, minutes }: Pick<PlacedControl, 'at' | 'control' | 'minutes'>,
): PlacedControl {
  const { map } = drainage;
  const place = [...map.zones, ...map.structures].find(({ id }) => id === at);
  const choices = place ? controlsAt(map, place, newestDay(map)) : devicesOf(map).filter(({ id }) => id === at);
  const choice = choices.find((each) => each.control === control);
  if (!choice) throw new Error(`${control} cannot stand at ${at}`);
  return { at, control, minutes, holds: choice.holds, litres: choice.litres };
}

/** What passes when nothing is counted on that dry ground keeps, as plans do. */
function passed(model: SpillModel, placed: readonly PlacedControl[]): Passed {
  const { pastGrates, toWater, toPublicDrain } = model.run(placed, { countsGround: false });
  return { pastGrates, out: toWater + toPublicDrain };
}
