import { findKits, type KitsAnswer } from '../../../kits/index.ts';
import type { SiteMap } from '../../../site-map/index.ts';
import { contentsWords, kitsAssumptions, kitsSentences, walkMinutes } from '../../../words/index.ts';
import { loadDrainage, namesOf, numberWord, output, quantityWord, throwErrors, UsageError } from '../input.ts';
import { bullets, heading, left, problemWords, right, table } from '../print.ts';
import { tellPart } from '../progress.ts';
import { loadSolver } from '../solver.ts';
import { say, voice } from '../voice.ts';

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
    throw new UsageError(say('cli-errors.kits-how-many'));
  }
  const count =
    countWord === undefined ? undefined : numberWord('--count', countWord, { atLeast: 1, atMost: MOST_KITS });
  if (count !== undefined && !Number.isInteger(count))
    throw new UsageError(say('cli-errors.whole-number', { flag: '--count', word: String(count) }));
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
      warnings: problems.map(problemWords),
    }),
  );
  return 0;
}

function answerText(
  map: SiteMap,
  answer: KitsAnswer,
  { withinMinutes, warnings }: { withinMinutes: number | undefined; warnings: string[] },
): string {
  const { text } = voice();
  const nameOf = namesOf(map);
  const [first, ...rest] = kitsSentences(answer, withinMinutes, nameOf, voice());
  const rows = answer.kits.map(({ at, spot, isStanding, cost, serves, farthestMinutes, contents, refill }) => [
    spot === null ? `${at[0].toFixed(5)}, ${at[1].toFixed(5)}` : nameOf(spot),
    isStanding ? say('cli.kits-stands') : cost === null ? say('cli.kits-new') : text({ money: cost }),
    serves.length > 0 ? serves.join(' ') : say('cli.kits-serves-none'),
    farthestMinutes === null ? '–' : walkMinutes(farthestMinutes, voice()),
    refill === null ? contentsWords(contents, voice()) : refillWords(contentsWords(refill, voice())),
  ]);
  const columns = [
    left('cli.kits-column-at'),
    left('cli.kits-column-cost'),
    left('cli.kits-column-serves'),
    right('cli.kits-column-farthest'),
    left('cli.kits-column-holds'),
  ];
  const curve = answer.curve.map(({ count, meanMinutes }) => [String(count), walkMinutes(meanMinutes, voice())]);
  const far = answer.fuelingFar.map(({ zone, metres }) =>
    say('cli.kits-far', { zone: nameOf(zone), distance: { metres } }),
  );
  return [
    heading(first),
    ...rest,
    ...warnings,
    '',
    table(columns, rows),
    '',
    table([right('cli.kits-column-new'), right('cli.kits-column-mean')], curve),
    ...(far.length > 0 ? ['', say('cli.worth-a-look'), bullets(far)] : []),
    '',
    say('cli.assumed'),
    bullets(
      kitsAssumptions(
        answer,
        map.others.some(({ properties }) => properties.kind === 'building'),
        voice(),
      ),
    ),
  ].join('\n');
}

const refillWords = (contents: string) =>
  contents === '' ? say('cli.kits-enough') : say('cli.kits-lacks', { contents });
