import { isThick } from '../../../drainage/index.ts';
import type { SiteMap } from '../../../site-map/index.ts';
import { cautionsFor, FIRST_WORDS, findSpill, fluidAdvice, type SpillAnswer } from '../../../spill/index.ts';
import { shortMinutes, spillAssumptions, spillSentences } from '../../../words/index.ts';
import { loadDrainage, namesOf, output, throwErrors } from '../input.ts';
import { bullets, heading, left, problemWords, right, table } from '../print.ts';
import { type SpillFlags, spillHeading, spillQuestion } from '../spill-flags.ts';
import { say, voice } from '../voice.ts';

/** `oilshed spill MAP --zone ID|--point LON,LAT --litres X`: where will it go, and when? */
export async function spill(file: string, flags: SpillFlags & { json?: boolean }): Promise<number> {
  const question = spillQuestion(flags);
  const drainage = await loadDrainage(file);
  const { answer, problems } = findSpill(drainage, question);
  throwErrors(file, problems);
  if (!answer) return 1;
  output(flags.json, { ...answer, problems }, () => {
    const warnings = problems.map((each) => problemWords({ ...each, field: null }));
    return answerText(drainage.map, answer, { ...question, warnings });
  });
  return 0;
}

interface Asked {
  litres: number;
  rainMmPerH?: number;
  warnings: string[];
}

function answerText(map: SiteMap, answer: SpillAnswer, { litres, rainMmPerH = 0, warnings }: Asked): string {
  const { text, tell } = voice();
  const nameOf = namesOf(map);
  const [first, ...rest] = spillSentences(answer, nameOf, voice());
  const possible = map.zones.find(({ id }) => id === answer.zone)?.properties.fluids?.map(({ fluid }) => fluid) ?? [];
  const parts = [
    spillHeading(litres, answer.zone && nameOf(answer.zone)),
    tell(FIRST_WORDS),
    ...fluidAdvice(answer.fluid, possible).map(tell),
    ...warnings,
    '',
    heading(first),
    ...rest,
  ];
  if (answer.arrivals.length > 0) {
    const columns = [
      left('cli.spill-column-place'),
      right('cli.spill-column-minutes'),
      right('cli.spill-column-litres'),
    ];
    const rows = answer.arrivals.map((each) => [
      nameOf(each.id),
      shortMinutes(each.minutes, voice()),
      text({ litres: each.litres }),
    ]);
    parts.push('', table(columns, rows));
  }
  const assumed = spillAssumptions(
    answer,
    {
      isRain: rainMmPerH > 0,
      isThick: answer.fluid !== null && isThick(answer.fluid),
    },
    voice(),
  );
  parts.push(
    '',
    say('cli.take-care'),
    bullets(cautionsFor(answer.fluid).map(tell)),
    say('cli.assumed'),
    bullets(assumed),
  );
  return parts.join('\n');
}
