import { readFileSync } from 'node:fs';
import { compileDrainage, type Drainage, oilshed } from '../../src/drainage/index.ts';
import { readSiteMap } from '../../src/site-map/index.ts';
import { drawPosterior } from '../../src/sources/draws/draws.ts';
import { type Finding, findingsIn, findSources, readFindings } from '../../src/sources/index.ts';
import { deliveryModel } from '../../src/sources/model/delivery-model.ts';
import { poseQuestion } from '../../src/sources/question/question.ts';
import { yard } from '../support/yard.ts';
import { compareWithJags } from './jags.ts';
import { growthExponent, measure } from './measure.ts';
import { RICHMOND, richmondMap } from './richmond.ts';

const ZONES = [10, 30, 100, 300];

interface Case {
  name: string;
  drainage: Drainage;
  findings: Finding[];
}

function demo(name: string): Case {
  const { map } = readSiteMap(readFileSync(`site-maps/${name}.geojson`, 'utf8'));
  const { findings } = readFindings(readFileSync(`site-maps/${name}.findings.json`, 'utf8'), map);
  return { name, drainage: compileDrainage(map), findings };
}

/** An amount at the outfall with the widest oilshed, and 19 looks at lids above it: every third one oily. */
function richmond(): Case | null {
  const map = richmondMap();
  if (!map) return null;
  const drainage = compileDrainage(map);
  const width = (id: string) => oilshed(drainage, id).length;
  const [at] = map.structures
    .filter(({ kind }) => kind === 'outfall')
    .map(({ id }) => id)
    .sort((a, b) => width(b) - width(a));
  const lids = oilshed(drainage, at)
    .map(({ zone }) => zone.inlets[0].to)
    .slice(0, 19);
  const window = { since: '2026-03-01', seenAt: '2026-05-30' };
  const looks = lids.map((lid, index) => ({
    id: `F${index + 2}`,
    at: lid,
    ...window,
    seen: index % 3 === 0 ? 'oil' : 'clean',
  }));
  const all = [{ id: 'F1', at, ...window, amount: { litres: 12 } }, ...looks];
  const { findings } = findingsIn({ format: 'oilshed-findings', version: 1, findings: all }, map);
  return { name: 'Richmond, 20 findings', drainage, findings };
}

/** A star of many zones with the same three findings: an amount at the separator, a clean and an oily lid. */
function star(zones: number): Case {
  const each = Array.from({ length: zones }, (_, at) => at);
  const drainage = yard({
    zones: Object.fromEntries(each.map((at) => [`Z${at}`, { areaM2: 20_000 / zones, drainsTo: `MH-${at}` }])),
    structures: {
      ...Object.fromEntries(each.map((at) => [`MH-${at}`, { kind: 'manhole' }])),
      'SEP-1': { kind: 'separator' },
    },
    links: Object.fromEntries(each.map((at) => [`P${at}`, { from: `MH-${at}`, to: 'SEP-1' }])),
  });
  const window = { since: '2026-03-01', seenAt: '2026-05-30' };
  const all = [
    { id: 'F1', at: 'SEP-1', ...window, amount: { litres: 12 } },
    { id: 'F2', at: 'MH-0', ...window, seen: 'clean' },
    { id: 'F3', at: 'MH-1', ...window, seen: 'oil' },
  ];
  const { findings } = findingsIn({ format: 'oilshed-findings', version: 1, findings: all }, drainage.map);
  return { name: `star of ${zones}`, drainage, findings };
}

/** The whole answer, what of it is drawing, and how that grows with the number of zones at fixed findings. */
export function run(print: (line: string) => void): void {
  compareWithJags(print);
  const town = richmond();
  if (!town) print(`Richmond: skipped, it is not at ${RICHMOND}`);
  print('case                     cells  answer, ms (least, median)  of it drawing  effective draws  R-hat');
  const cases = [
    demo('freight-depot'),
    demo('two-bay-garage'),
    demo('gravel-haul-yard'),
    ...(town ? [town] : []),
    ...ZONES.map(star),
  ];
  const stars: { size: number; ms: number }[] = [];
  for (const { name, drainage, findings } of cases) {
    const question = poseQuestion(drainage, findings, {});
    const answer = measure(() => findSources(drainage, findings).answer?.zones.length ?? 0, {
      most: 5,
      budgetMs: 6000,
    });
    const draw = () => drawPosterior(question, deliveryModel(drainage, question.evidence));
    const drawing = measure(() => draw().count, { most: 3, budgetMs: 4000 });
    const { effectiveCount, rHat } = draw().mixing;
    if (name.startsWith('star')) stars.push({ size: drainage.map.zones.length, ms: answer.least });
    print(
      [
        name.padEnd(24),
        String(question.evidence.cells.length).padStart(5),
        `${answer.least.toFixed(0)}, ${answer.median.toFixed(0)}`.padStart(27),
        (drawing.least / answer.least).toFixed(2).padStart(14),
        effectiveCount.toFixed(0).padStart(16),
        rHat.toFixed(3).padStart(6),
      ].join(' '),
    );
  }
  print(
    `growth of the whole answer with the number of zones, ${ZONES[0]} to ${ZONES[ZONES.length - 1]}: n^${growthExponent(stars).toFixed(2)}`,
  );
}
