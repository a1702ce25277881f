import { isThick } from '../../../drainage/index.ts';
import type { SiteMap } from '../../../site-map/index.ts';
import { findSpill, type SpillAnswer, safetyFor } from '../../../spill/index.ts';
import { litresSentence, shortMinutes, spillAssumptions, spillSentences, takenWords } from '../../../words/index.ts';
import type { FindingsSource } from '../findings.ts';
import { loadDrainage, namesOf, output, throwErrors } from '../input.ts';
import { bullets, heading, left, problemWords, right, table } from '../print.ts';
import { type SpillFlags, spillHeading, spillQuestion } from '../spill-flags.ts';
import { say, voice } from '../voice.ts';

/** `oilshed spill MAP --zone ID|--point LON,LAT --litres X`: where will it go, and when? */
export async function spill(
  file: string,
  flags: SpillFlags & { findings?: FindingsSource; json?: boolean },
): Promise<number> {
  const question = spillQuestion(flags);
  const drainage = await loadDrainage(file);
  const facts = flags.findings === undefined ? {} : (await import('../held.ts')).metIn(drainage, flags.findings).facts;
  const { answer, problems } = findSpill(drainage, question, facts);
  throwErrors(file, problems);
  if (!answer) return 1;
  output(flags.json, { ...answer, problems }, () => {
    const warnings = problems.map((each) => problemWords({ ...each, field: null }));
    return answerText(drainage.map, answer, warnings);
  });
  return 0;
}

function answerText(map: SiteMap, answer: SpillAnswer, warnings: string[]): string {
  const { tell } = voice();
  const nameOf = namesOf(map);
  const [where, ...rest] = spillSentences(answer, nameOf, voice());
  const { first, always } = safetyFor(answer.spill);
  return [
    ...first.map(tell),
    '',
    spillHeading(answer.spill, answer.zone && nameOf(answer.zone)),
    ...warnings,
    heading(where),
    ...rest,
    ...(answer.inlets.length > 0 ? [litresSentence(answer, voice())] : []),
    ...(answer.arrivals.length > 0 ? ['', arrivalsTable(answer, nameOf)] : []),
    '',
    say('cli.take-care'),
    bullets(always.map(tell)),
    say('cli.assumed'),
    bullets([...takenWords(answer.spill, voice()), ...spillAssumptions(answer, factsOf(answer), voice())]),
  ].join('\n');
}

/** What the assumptions of a spill hang on. */
export const factsOf = ({ spill: { rainMmPerH }, fluid }: Pick<SpillAnswer, 'spill' | 'fluid'>) => ({
  isRain: rainMmPerH > 0,
  isThick: fluid !== null && isThick(fluid),
});

/** Each place with "no sooner than", when oil is likely there first, half of it and nearly all, and how much. */
function arrivalsTable({ arrivals }: SpillAnswer, nameOf: (id: string) => string): string {
  const columns = [
    left('cli.spill-column-place'),
    right('cli.spill-column-minutes'),
    right('cli.spill-column-first'),
    right('cli.spill-column-half'),
    right('cli.spill-column-last'),
    right('cli.spill-column-litres'),
  ];
  const rows = arrivals.map(({ id, minutes, likely, litres }) => [
    nameOf(id),
    ...[minutes, likely?.first ?? null, likely?.half ?? null, likely?.last ?? null].map((each) =>
      shortMinutes(each, voice()),
    ),
    voice().text({ litres }),
  ]);
  return table(columns, rows);
}
