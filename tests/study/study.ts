import { type Accuracy, measureAccuracy } from './accuracy.ts';
import { type Calibration, calibrate } from './calibration.ts';
import { type Race, race } from './race.ts';
import type { Manner, World } from './truth.ts';
import { demoYards, lineOfEight, richmondYard, type StudyYard, smallYards } from './yards.ts';

export interface AccuracyRow {
  yard: string;
  zones: number;
  world: World;
  manner: Manner;
  scores: Accuracy;
}

export interface RaceRow {
  yard: string;
  world: World;
  race: Race;
}

export interface Results {
  hasRichmond: boolean;
  accuracy: AccuracyRow[];
  calibration: Calibration;
  races: RaceRow[];
}

/** Prints progress. */
type Print = (line: string) => void;

const WORLDS: readonly World[] = ['model', 'rough'];
const MANNERS: readonly Manner[] = ['model', 'spill', 'seepage'];
/** Lids looked into at random, besides the amount found. */
const LOOKS = 2;
/** Kept sweeps of each of four chains. */
const SWEEPS = { calibration: 500, accuracy: 500, race: 250 };
const SEED = { accuracy: 1000, race: 2000, calibration: 2018 };
const CALIBRATION_COUNT = 1000;
/** Answers of the tool are remembered, and right answers leave few questions to ask; wrong ones, and many zones, make many. */
const raceCount = (world: World, zones: number) =>
  zones > 50 ? { model: 40, rough: 12 }[world] : { model: 400, rough: 30 }[world];
/** Simulations of one kind, by the number of zones on the map: fewer where one answer takes longer. */
const accuracyCount = (zones: number) => (zones > 50 ? 10 : zones > 10 ? 20 : 40);

export function studyYards(): { yards: StudyYard[]; hasRichmond: boolean } {
  const richmond = richmondYard();
  return { yards: [...demoYards(), ...(richmond ? [richmond] : [])], hasRichmond: richmond !== null };
}

const some = (count: number, part: number) => Math.max(4, Math.round(count * part));

/** Hit rates, coverage and Brier score on every yard, in both worlds, for every manner of release. */
export function studyAccuracy(yards: readonly StudyYard[], print: Print, part = 1): AccuracyRow[] {
  let seed = SEED.accuracy;
  return yards.flatMap(({ name, drainage, at }) =>
    WORLDS.flatMap((world) =>
      MANNERS.map((manner) => {
        const zones = drainage.map.zones.length;
        const run = { count: some(accuracyCount(zones), part), seed: seed++, sweeps: SWEEPS.accuracy };
        const scores = measureAccuracy({ drainage, at, world, manner, looks: LOOKS }, run);
        print(`${name}, ${world} world, ${manner}: top 1 ${scores.top1.mean.toFixed(2)} of ${run.count}`);
        return { yard: name, zones, world, manner, scores };
      }),
    ),
  );
}

/** Lids opened until the source is isolated, on every yard and the line of eight, in both worlds. */
export function studyRaces(yards: readonly StudyYard[], print: Print, part = 1): RaceRow[] {
  let seed = SEED.race;
  return [lineOfEight(), ...yards].flatMap((yard) =>
    WORLDS.map((world) => {
      const found = race(yard, {
        world,
        count: some(raceCount(world, yard.drainage.map.zones.length), part),
        seed: seed++,
        sweeps: SWEEPS.race,
      });
      print(`${yard.name}, ${world} world: ${found.outcomes.tool.lids.mean.toFixed(2)} lids`);
      return { yard: yard.name, world, race: found };
    }),
  );
}

/** Simulation-based calibration on small yards. */
export function studyCalibration(print: Print, part = 1): Calibration {
  const run = { count: some(CALIBRATION_COUNT, part), seed: SEED.calibration, sweeps: SWEEPS.calibration };
  const found = calibrate(smallYards(), run);
  print(`calibration: chance ${found.share.chance.toFixed(3)} (share), ${found.theta.chance.toFixed(3)} (θ)`);
  return found;
}

/** The whole study; `part` below 1 runs so much of it, for trying it out. */
export function runStudy(print: Print, part = 1): Results {
  const { yards, hasRichmond } = studyYards();
  const calibration = studyCalibration(print, part);
  const accuracy = studyAccuracy(yards, print, part);
  const races = studyRaces(yards, print, part);
  return { hasRichmond, accuracy, calibration, races };
}
