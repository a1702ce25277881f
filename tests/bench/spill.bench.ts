import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { minCut, seededRandom } from '../../src/algorithms/index.ts';
import { type BlockQuestion, findBlocks, spillNetwork } from '../../src/block/index.ts';
import { compileDrainage, type Drainage } from '../../src/drainage/index.ts';
import { isOfKind, middleOfZone, readSiteMap } from '../../src/site-map/index.ts';
import { findSpill, poseSpill, spillModel } from '../../src/spill/index.ts';
import { yardText } from '../support/yard.ts';
import { growthExponent, measure } from './measure.ts';
import { RICHMOND, richmondMap } from './richmond.ts';

const SIZES = [1_000, 10_000, 100_000];
const NETWORKX = 'tests/bench/max-flow.py';

const depot = (): Drainage => compileDrainage(readSiteMap(readFileSync('site-maps/freight-depot.geojson', 'utf8')).map);

/** A drain in which most structures have two ways on, so that a spill at its head gets to nearly all of it. */
function mesh(size: number): Drainage {
  const random = seededRandom(3);
  const links: Record<string, { from: string; to: string; lengthM: number }> = {};
  for (let at = 0; at + 1 < size; at++) {
    const skip = Math.min(size - 1, at + 2 + Math.floor(random.uniform() * 8));
    links[`P${at}`] = { from: `S${at}`, to: `S${at + 1}`, lengthM: 20 };
    if (skip > at + 1) links[`Q${at}`] = { from: `S${at}`, to: `S${skip}`, lengthM: 60 };
  }
  const structures = Object.fromEntries(
    Array.from({ length: size }, (_, at) => [`S${at}`, { kind: at === size - 1 ? 'outfall' : 'manhole' }]),
  );
  return compileDrainage(readSiteMap(yardText({ zones: { Z1: { drainsTo: 'S0' } }, structures, links })).map);
}

const spillOn = (drainage: Drainage, zone: string) => {
  const question: BlockQuestion = { place: { zone }, litres: 200, rainMmPerH: 10, fluid: 'diesel' };
  const { posed } = poseSpill(drainage, question);
  if (!posed) throw new Error(`no zone ${zone}`);
  const model = spillModel(drainage, posed);
  return {
    arrivals: () => findSpill(drainage, question).answer?.arrivals.length ?? Number.NaN,
    plan: () => findBlocks(drainage, question).answer?.singles.length ?? Number.NaN,
    evaluation: () => model.run([]).toWater,
  };
};

/** One evaluation of a spill on large meshes, where curves are on a grid, and how its time grows with their structures. */
function printMeshes(print: (line: string) => void): void {
  const growth = SIZES.map((size) => {
    const { evaluation } = spillOn(mesh(size), 'Z1');
    const { least, median } = measure(evaluation, { most: size > 10_000 ? 1 : 10, budgetMs: 3000 });
    print(`mesh of ${size} structures: one evaluation ${median.toFixed(1)} ms median, ${least.toFixed(1)} least`);
    return { size, ms: least };
  });
  print(`growth of one evaluation: n^${growthExponent(growth).toFixed(2)}`);
}

const RELEASES = [
  { litres: 20, overMinutes: 30 },
  { litres: 60, overMinutes: 10 },
  { litres: 200, overMinutes: 2 },
];

/** Spills of diesel on every zone of the depot, dry and in rain: someone there, and the first crew post. */
function depotQuestions({ map }: Drainage): BlockQuestion[] {
  const crew = map.others.find((each) => isOfKind(each, 'crew'));
  if (!crew || !isOfKind(crew, 'crew')) throw new Error('the depot has no crew');
  const post = { id: crew.id, position: crew.geometry.coordinates };
  return map.zones.flatMap((zone) =>
    RELEASES.flatMap((release) =>
      [0, 10].map(
        (rainMmPerH): BlockQuestion => ({
          place: { zone: zone.id },
          fluid: 'diesel',
          ...release,
          rainMmPerH,
          hands: [{ id: 'here', position: middleOfZone(zone) }, post],
        }),
      ),
    ),
  );
}

/** The depot's plan with two hands, and the plan anew once its first step is placed: least of three for each spill. */
function printDepotPlans(print: (line: string) => void): void {
  const drainage = depot();
  const times: { plan: number[]; again: number[]; notProved: number } = { plan: [], again: [], notProved: 0 };
  for (const question of depotQuestions(drainage)) {
    const { answer } = findBlocks(drainage, question);
    if (!answer) continue;
    const { toWater, toPublicDrain, pastGrates } = answer.plan.gap;
    if (toWater + toPublicDrain + pastGrates > 0) times.notProved++;
    times.plan.push(measure(() => findBlocks(drainage, question).answer?.singles.length ?? 0, { most: 3 }).least);
    const [first] = answer.plan.controls;
    if (!first || first.crewMinutes === null) continue;
    const { at, control, hand, kit, crewMinutes: minutes } = first;
    const again = { ...question, agoMinutes: minutes, placed: [{ at, control, hand, kit, minutes }] };
    times.again.push(measure(() => findBlocks(drainage, again).answer?.singles.length ?? 0, { most: 3 }).least);
  }
  for (const [name, all] of [
    ['plan', times.plan],
    ['plan anew after its first step', times.again],
  ] as const) {
    const sorted = all.toSorted((a, b) => a - b);
    const at = (part: number) => sorted[Math.min(sorted.length - 1, Math.floor(part * sorted.length))].toFixed(1);
    print(`depot, 2 hands, ${name}: ${all.length} spills, ms median ${at(0.5)}, p95 ${at(0.95)}, most ${at(1)}`);
  }
  print(`litres not proved the best in ${times.notProved} of ${times.plan.length}`);
}

/** The minimum cut of the same network by networkx (Debian's package): least ms of its own clock; null where it is not here. */
function networkxMs(drainage: Drainage, zone: string): { ms: number; value: number } | null {
  const found = drainage.map.zones.find(({ id }) => id === zone);
  if (!found) return null;
  const { network, source, sink } = spillNetwork(drainage, {
    zone: found,
    inlets: found.inlets.map(({ to }) => to),
    without: [],
  });
  const capacity = network.capacity.map((each) => (Number.isFinite(each) ? each : null));
  const { status, stdout } = spawnSync('python3', [NETWORKX], {
    input: JSON.stringify({ from: network.from, to: network.to, capacity, source, sink }),
    encoding: 'utf8',
    maxBuffer: 1 << 28,
  });
  return status === 0 ? JSON.parse(stdout) : null;
}

/** One evaluation on large meshes; arrivals, the whole plan and one evaluation on the demo depot and on Richmond; the minimum cut against networkx. */
export function run(print: (line: string) => void): void {
  printMeshes(print);
  printDepotPlans(print);
  print(
    'case                     structures  reached  arrivals, ms median  plan, ms median (least)  one evaluation, ms',
  );
  const records = richmondMap();
  const town = records && compileDrainage(records);
  if (!town) print(`Richmond: skipped, it is not at ${RICHMOND}`);
  const widest = (drainage: Drainage) =>
    drainage.map.zones
      .map(({ id }) => ({ id, reached: spillOn(drainage, id).arrivals() }))
      .sort((a, b) => b.reached - a.reached)[0].id;
  const cases = [
    { name: 'freight depot, widest', drainage: depot() },
    ...(town ? [{ name: 'Richmond, widest', drainage: town }] : []),
  ].map((each) => ({ ...each, zone: widest(each.drainage) }));
  for (const { name, drainage, zone } of cases) {
    const { arrivals, plan, evaluation } = spillOn(drainage, zone);
    const times = {
      arrivals: measure(arrivals, { budgetMs: 3000 }),
      plan: measure(plan, { most: 5, budgetMs: 2000 }),
      evaluation: measure(evaluation, { most: 5, budgetMs: 2000 }),
    };
    const size = drainage.map.structures.length;
    print(
      [
        name.padEnd(24),
        String(size).padStart(10),
        String(arrivals()).padStart(8),
        times.arrivals.median.toFixed(2).padStart(20),
        `${times.plan.median.toFixed(2)} (${times.plan.least.toFixed(2)})`.padStart(24),
        times.evaluation.median.toFixed(2).padStart(19),
      ].join(' '),
    );
  }
  for (const { name, drainage, zone } of cases) {
    const theirs = networkxMs(drainage, zone);
    if (!theirs) {
      print('networkx: skipped, python3 with networkx is not here');
      break;
    }
    const found = drainage.map.zones.find(({ id }) => id === zone);
    if (!found) continue;
    const spill = spillNetwork(drainage, { zone: found, inlets: found.inlets.map(({ to }) => to), without: [] });
    const { network, source, sink } = spill;
    const ours = measure(() => minCut(network, source, sink).value, { most: 15, budgetMs: 3000 });
    const isSame = minCut(network, source, sink).value === theirs.value ? 'the same value' : 'ANOTHER VALUE';
    print(`minimum cut, ${name}: networkx takes ${(theirs.ms / ours.least).toFixed(0)} × our time, ${isSame}`);
  }
}
