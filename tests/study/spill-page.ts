import { HANDS, type Passed, RAINS, RELEASES, type SpillTable, type Trial } from './spill.ts';

const row = (cells: readonly (string | number)[]) => `| ${cells.join(' | ')} |`;

function table(head: readonly string[], rows: readonly (readonly (string | number)[])[], words: number): string {
  const rule = head.map((_, at) => (at < words ? '---' : '---:'));
  return [row(head), row(rule), ...rows.map(row)].join('\n');
}

const sumOf = (trials: readonly Trial[], litres: (trial: Trial) => number) =>
  Math.round(trials.reduce((sum, trial) => sum + litres(trial), 0));

const countOf = (trials: readonly Trial[], first: Trial['first']) =>
  trials.filter((each) => each.first === first).length;

const WAYS = ['nothing', 'coverOnly', 'plan', 'unlimited'] as const;

/** Doing nothing is the same whoever is there, so the three figures of the hands stand in one cell only where they differ. */
function cell(tables: readonly SpillTable[], way: (typeof WAYS)[number], what: keyof Passed): string {
  const sums = tables.map(({ trials }) => sumOf(trials, (trial) => trial[way][what]));
  return way === 'nothing' ? String(sums[0]) : sums.join(' · ');
}

function litresTable(tables: readonly SpillTable[], what: keyof Passed): string {
  const head = ['released', 'doing nothing', 'cover the nearest grate only', 'the plan', 'unlimited hands'];
  return table(
    head,
    RELEASES.map(({ litres, overMinutes }) => {
      const same = tables.filter((each) => each.litres === litres);
      const released = litres * same[0].trials.length;
      return [`${released} (${litres} L over ${overMinutes} min each)`, ...WAYS.map((way) => cell(same, way, what))];
    }),
    1,
  );
}

function firstTable(tables: readonly SpillTable[]): string {
  return table(
    ['release', ...HANDS],
    RELEASES.map(({ litres, overMinutes }) => [
      `${litres} L over ${overMinutes} min`,
      ...HANDS.map((hands) => {
        const trials = tables.find((each) => each.litres === litres && each.hands === hands)?.trials ?? [];
        return (['own', 'other', 'none'] as const).map((first) => countOf(trials, first)).join(' / ');
      }),
    ]),
    1,
  );
}

/** For each zone what the plan begins with, by hands; where that is the same for all it is said once. */
function zoneTable(tables: readonly SpillTable[], { litres, overMinutes }: (typeof RELEASES)[number]): string {
  const same = tables.filter((each) => each.litres === litres);
  const head = ['yard', 'zone', ...HANDS, 'past the grates: nothing', 'plan', 'unlimited'];
  const rows = same[0].trials.map(({ yard, zone, name }, at) => [
    yard,
    `${zone} ${name}`,
    ...same.map(
      ({ trials }) => `${trials[at].firstControl ?? '–'}${trials[at].first === 'other' ? ' (elsewhere)' : ''}`,
    ),
    same[0].trials[at].nothing.pastGrates.toFixed(1),
    ...(['plan', 'unlimited'] as const).map((way) =>
      same.map(({ trials }) => trials[at][way].pastGrates.toFixed(1)).join(' · '),
    ),
  ]);
  return [`### ${litres} L over ${overMinutes} min`, table(head, rows, 2 + HANDS.length)].join('\n\n');
}

function orderWords(tables: readonly SpillTable[]): string {
  const trials = tables.flatMap((each) => each.trials);
  const keeps = trials.filter(({ ownKeepsStep }) => ownKeepsStep);
  const wrong = tables.flatMap((each) =>
    each.trials
      .filter((trial) => trial.ownKeepsStep && trial.first !== 'own')
      .map(
        (trial) =>
          `- ${trial.yard}, ${trial.zone} ${trial.name}, ${each.litres} L over ${each.overMinutes} min, ${each.rainMmPerH} mm/h, ${each.hands}: ${trial.firstControl ?? 'nothing'}`,
      ),
  );
  const said = `Of ${trials.length} spills there were ${keeps.length} in which a control at the source, on the spill's own ground or at its grates still keeps a step (5 % of the release, at least 0.5 L). The plan began there in ${keeps.length - wrong.length} of them.`;
  return wrong.length === 0 ? said : [said, '', 'It did not in:', '', ...wrong].join('\n');
}

function worseWords(tables: readonly SpillTable[]): string {
  const worse = tables.flatMap(({ trials, ...spill }) =>
    trials
      .filter(({ plan, coverOnly, isFirstStepOnly }) => !isFirstStepOnly && plan.out > coverOnly.out + 0.5)
      .map((trial) => ({ ...spill, trial })),
  );
  if (worse.length === 0)
    return 'Where the plan is more than a first step, in no spill did more oil leave the yard with it than with the nearest grate covered and nothing else, by over 0.5 L.';
  return [
    `Where the plan is more than a first step, in ${worse.length} spills more oil left the yard with it than with the nearest grate covered and nothing else:`,
    '',
    ...worse.map(
      ({ litres, rainMmPerH, hands, trial }) =>
        `- ${trial.yard}, ${trial.zone}, ${litres} L, ${rainMmPerH} mm/h, ${hands}: ${trial.plan.out.toFixed(1)} L against ${trial.coverOnly.out.toFixed(1)} L`,
    ),
  ].join('\n');
}

function weatherPart(all: readonly SpillTable[], rainMmPerH: number): string {
  const tables = all.filter((each) => each.rainMmPerH === rainMmPerH);
  const firstOnly = tables.flatMap(({ trials }) => trials).filter((each) => each.isFirstStepOnly).length;
  return [
    rainMmPerH === 0 ? '## Dry' : `## Rain of ${rainMmPerH} mm/h`,
    'Litres past the spill’s own grates, all zones together: alone · with a crew · crews only.',
    litresTable(tables, 'pastGrates'),
    'Litres out of the yard, into water or somebody else’s drain:',
    litresTable(tables, 'out'),
    'Where the plan begins: at the source, on its own ground or at its own grates / elsewhere / nothing.',
    firstTable(tables),
    ...(firstOnly > 0
      ? [
          `In ${firstOnly} of these ${tables.flatMap(({ trials }) => trials).length} spills the ground likely keeps all of the oil before the grate. There the answer is a first step only, absorbent and one control, and the tables, which count on nothing that the ground keeps, show the plan worse than it is.`,
        ]
      : []),
    ...RELEASES.map((release) => zoneTable(tables, release)),
  ].join('\n\n');
}

const WHAT = `Diesel runs out in the middle of each working zone of the three demo yards (roofs and verges are left out), in three sizes,
dry and in rain, with three sets of people: somebody who stands there alone; the same with the crew post that is nearest on foot; the
crew posts and nobody there. Each is answered by the plan as the screens, the cards and the command line give it, and then followed
to the end by the program's own model, which tests hold to parcels walked through the map one by one.

- *Cover the nearest grate only*: a drain cover on it by the first hand that can have it there, and nothing else.
- *Unlimited hands*: every control that is on the map or in a kit, each by the hand that has it in place soonest, all together. No
  plan of these people can keep more.
- Nothing is counted on that dry ground keeps, as the plan counts: oil that comes to rest in hollows of the asphalt is a bonus.`;

const LIMITS = `These are demo yards, invented, with kits where somebody thought about them. Times of setting up, walking and what a control
keeps are the program's defaults, which are guesses (docs/method.md). The model that judges the plan is the one that made it: that it follows
oil rightly is for the tests of it, and whether real people are as quick is for drills.`;

/** The page of the study. */
export function spillPage(tables: readonly SpillTable[]): string {
  return `${[
    '# What the first minutes keep: the plan on the demo yards',
    WHAT,
    '## The order of the trade',
    orderWords(tables),
    worseWords(tables),
    ...RAINS.map((rain) => weatherPart(tables, rain)),
    '## What this does not show',
    LIMITS,
    '`npm run study -- spill` writes this page; nothing in it is drawn by chance, so it is the same every time.',
  ].join('\n\n')}\n`;
}
