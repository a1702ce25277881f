import type { Histogram } from './calibration.ts';
import type { Outcome } from './race.ts';
import type { Estimate } from './scores.ts';
import type { AccuracyRow, RaceRow, Results } from './study.ts';
import { findingsInWords, HOW, LIMITS, WHAT } from './words.ts';

const percent = ({ mean, error }: Estimate) => `${Math.round(100 * mean)} ± ${Math.max(0, Math.round(100 * error))}`;
const decimal = ({ mean, error }: Estimate) => `${mean.toFixed(2)} ± ${error.toFixed(2)}`;

const row = (cells: readonly (string | number)[]) => `| ${cells.join(' | ')} |`;

function table(head: readonly string[], rows: readonly (readonly (string | number)[])[]): string {
  const rule = head.map((_, at) => (at < 2 ? '---' : '---:'));
  return [row(head), row(rule), ...rows.map(row)].join('\n');
}

const MANNER_WORDS = { model: 'as the model draws', spill: 'few large releases', seepage: 'many small ones' };

function accuracyTable(rows: readonly AccuracyRow[], world: AccuracyRow['world']): string {
  const head = ['yard', 'releases', 'n', 'top 1, %', 'blind top 1, %', 'top 3, %', '50 % holds, %', '90 % holds, %'];
  return table(
    [...head, 'Brier', 'blind Brier', 'rough, %'],
    rows
      .filter((each) => each.world === world)
      .map(({ yard, manner, scores }) => [
        yard,
        MANNER_WORDS[manner],
        scores.top1.count,
        percent(scores.top1),
        percent(scores.blindTop1),
        percent(scores.top3),
        percent(scores.in50),
        percent(scores.in90),
        decimal(scores.brier),
        decimal(scores.blindBrier),
        percent(scores.rough),
      ]),
  );
}

/** A count of lids; where the policy did not always end at the source, how often it did. */
function lidsOf(outcome: Outcome | null): string {
  if (!outcome) return 'not computed';
  const { lids, right } = outcome;
  return right.mean === 1 ? decimal(lids) : `${decimal(lids)} (right ${percent(right)} %)`;
}

function raceTable(rows: readonly RaceRow[], world: RaceRow['world']): string {
  const isModel = world === 'model';
  return table(
    [
      'yard',
      'suspects, lids',
      'n',
      'tool as it is',
      'tool told "one spill"',
      'the same, until 90 % sure',
      '(a) walk up',
      '(b) halving',
      isModel ? '(c) best possible, as played' : '(c) best plan for right answers',
      ...(isModel ? ['(c) exact', '(d) bits'] : []),
    ],
    rows
      .filter((each) => each.world === world)
      .map(({ yard, race: { outcomes, suspects, lids, best, bits } }) => [
        yard,
        `${suspects}, ${lids}`,
        outcomes.tool.lids.count,
        lidsOf(outcomes.tool),
        lidsOf(outcomes.told),
        lidsOf(outcomes.toldSure),
        lidsOf(outcomes.walk),
        lidsOf(outcomes.halve),
        lidsOf(outcomes.best),
        ...(isModel ? [best === null ? 'not computed' : best.toFixed(2), bits.toFixed(2)] : []),
      ]),
  );
}

const BAR_UNIT = 2;

function bars({ counts }: Histogram): string {
  const width = 100 / counts.length;
  return counts
    .map((count, bin) => {
      const label = `${bin * width}–${(bin + 1) * width - 1}`;
      return `${label.padStart(6)}  ${String(count).padStart(3)}  ${'#'.repeat(Math.round(count / BAR_UNIT))}`;
    })
    .join('\n');
}

const verdict = ({ counts, chiSquare, chance }: Histogram) =>
  `χ² = ${chiSquare.toFixed(1)} on ${counts.length - 1} degrees of freedom; ranks that are uniform are this uneven or more with chance ${chance.toFixed(2)}`;

/** The study's page, in Markdown. The same results give the same bytes. */
export function studyPage(results: Results): string {
  const { accuracy, races, calibration, hasRichmond } = results;
  const skipped = hasRichmond
    ? []
    : ['**Richmond was skipped in this run**: its public records were not beside the checkout.', ''];
  return `${[
    '# The study: how good are the answers?',
    '',
    'Written by `npm run study`; do not edit it by hand.',
    '',
    ...skipped,
    WHAT,
    '',
    '## What came out',
    '',
    findingsInWords(results),
    '',
    '## Is the engine calibrated?',
    '',
    `${calibration.simulations} simulations on three yards of 3 to 5 zones. Log share of one source of each: ${verdict(calibration.share)}. Ln θ: ${verdict(calibration.theta)}. ${calibration.rough} of the answers called themselves rough. Ranks of the true log share, 0 to 99, five to a bin; ${(calibration.simulations / calibration.share.counts.length).toFixed(0)} ± ${Math.sqrt((calibration.simulations / calibration.share.counts.length) * (1 - 1 / calibration.share.counts.length)).toFixed(0)} are expected in each:`,
    '',
    '```',
    bars(calibration.share),
    '```',
    '',
    "## The model's own world",
    '',
    accuracyTable(accuracy, 'model'),
    '',
    '## A rougher world',
    '',
    accuracyTable(accuracy, 'rough'),
    '',
    '## Lids until the source is isolated',
    '',
    'One spill from one zone, every look right:',
    '',
    raceTable(races, 'model'),
    '',
    'True yields off by a factor of 3, a look misread 1 time in 20:',
    '',
    raceTable(races, 'rough'),
    '',
    '## How to repeat it',
    '',
    HOW,
    '',
    '## Limits',
    '',
    LIMITS,
  ].join('\n')}\n`;
}
