import { findKits, type KitsAnswer } from '../../../kits/index.ts';
import type { SiteMap } from '../../../site-map/index.ts';
import { formatMoney, formatNumber, METRES_PER_FOOT } from '../../../units/index.ts';
import { contentsWords, kitsAssumptions, kitsSentences, walkMinutes } from '../../../words/index.ts';
import {
  currencyOf,
  loadDrainage,
  namesOf,
  numberWord,
  output,
  quantityWord,
  throwErrors,
  UsageError,
  unitsOf,
} from '../input.ts';
import { bullets, heading, problemLine, table } from '../print.ts';
import { tellPart } from '../progress.ts';
import { loadSolver } from '../solver.ts';
import { voice } from '../voice.ts';

interface KitsFlags {
  count?: string;
  keep?: boolean;
  within?: string;
  hints: boolean;
  json?: boolean;
}

const MOST_KITS = 1_000;
const MOST_MINUTES = 1_000;

/** `oilshed kits MAP --count N`: where should kits stand? */
export async function kits(file: string, flags: KitsFlags): Promise<number> {
  const { count: countWord, within, keep } = flags;
  if (countWord === undefined && within === undefined) {
    throw new UsageError(
      'write --count N, how many new kits, or --within MINUTES, how near every zone should have one',
    );
  }
  const count =
    countWord === undefined ? undefined : numberWord('--count', countWord, { atLeast: 1, atMost: MOST_KITS });
  if (count !== undefined && !Number.isInteger(count))
    throw new UsageError(`--count is ${count}; write a whole number`);
  const withinMinutes =
    within === undefined
      ? undefined
      : quantityWord('--within', within, { quantity: 'minutes', above: 0, atMost: MOST_MINUTES });
  const drainage = await loadDrainage(file);
  const { answer, problems } = findKits(drainage, { count, keep, withinMinutes, onPart: tellPart }, await loadSolver());
  throwErrors(file, problems);
  if (!answer) return 1;
  const shown = flags.hints ? answer : { ...answer, fuelingFar: [] };
  output(flags.json, { ...shown, problems }, () =>
    answerText(drainage.map, shown, {
      withinMinutes,
      warnings: problems.map((each) => problemLine('', each).replace(/^: /, '')),
    }),
  );
  return 0;
}

function answerText(
  map: SiteMap,
  answer: KitsAnswer,
  { withinMinutes, warnings }: { withinMinutes: number | undefined; warnings: string[] },
): string {
  const units = unitsOf(map);
  const nameOf = namesOf(map);
  const [first, ...rest] = kitsSentences(answer, withinMinutes, nameOf, voice());
  const rows = answer.kits.map(({ at, spot, isStanding, cost, serves, farthestMinutes, contents, refill }) => [
    spot === null ? `${at[0].toFixed(5)}, ${at[1].toFixed(5)}` : nameOf(spot),
    isStanding ? 'stands' : cost === null ? 'new' : formatMoney(cost, currencyOf(map)),
    serves.length > 0 ? serves.join(' ') : 'none',
    farthestMinutes === null ? '–' : walkMinutes(farthestMinutes, voice()),
    refill === null ? contentsWords(contents, voice()) : refillWords(contentsWords(refill, voice())),
  ]);
  const columns = [
    { title: 'KIT AT' },
    { title: 'COST' },
    { title: 'SERVES' },
    { title: 'FARTHEST', align: 'right' },
    { title: 'HOLDS' },
  ] as const;
  const curve = answer.curve.map(({ count, meanMinutes }) => [String(count), walkMinutes(meanMinutes, voice())]);
  const far = answer.fuelingFar.map(
    ({ zone, metres }) =>
      `${nameOf(zone)} has its nearest kit ${distanceWords(metres, units)} away; one state asks for 25 ft (7.6 m) at all fuelling. --no-hints leaves this out.`,
  );
  return [
    heading(first),
    ...rest,
    ...warnings,
    '',
    table(columns, rows),
    '',
    table(
      [
        { title: 'NEW KITS', align: 'right' },
        { title: 'MEAN WALK', align: 'right' },
      ],
      curve,
    ),
    ...(far.length > 0 ? ['', 'Worth a look', bullets(far)] : []),
    '',
    'Assumed',
    bullets(
      kitsAssumptions(
        answer,
        map.others.some(({ properties }) => properties.kind === 'building'),
        voice(),
      ),
    ),
  ].join('\n');
}

const refillWords = (words: string) => (words === '' ? 'enough as it is' : `lacks ${words}`);

const distanceWords = (metres: number, units: 'us' | 'si') =>
  units === 'us' ? `${formatNumber(metres / METRES_PER_FOOT)} ft` : `${formatNumber(metres)} m`;
