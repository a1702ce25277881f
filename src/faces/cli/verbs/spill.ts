import { isThick } from '../../../drainage/index.ts';
import type { SiteMap } from '../../../site-map/index.ts';
import { cautionsFor, FIRST_WORDS, findSpill, fluidAdvice, type SpillAnswer } from '../../../spill/index.ts';
import { formatVolume } from '../../../units/index.ts';
import { shortMinutes, spillAssumptions, spillSentences } from '../../../words/index.ts';
import { loadDrainage, namesOf, output, throwErrors, unitsOf } from '../input.ts';
import { bullets, heading, problemLine, table } from '../print.ts';
import { type SpillFlags, spillQuestion } from '../spill-flags.ts';
import { voice } from '../voice.ts';

/** `oilshed spill MAP --zone ID|--point LON,LAT --litres X`: where will it go, and when? */
export async function spill(file: string, flags: SpillFlags & { json?: boolean }): Promise<number> {
  const question = spillQuestion(flags);
  const drainage = await loadDrainage(file);
  const { answer, problems } = findSpill(drainage, question);
  throwErrors(file, problems);
  if (!answer) return 1;
  output(flags.json, { ...answer, problems }, () => {
    const warnings = problems.map((each) => problemLine('', { ...each, field: null }).replace(/^: /, ''));
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
  const units = unitsOf(map);
  const nameOf = namesOf(map);
  const [first, ...rest] = spillSentences(answer, nameOf, voice());
  const possible = map.zones.find(({ id }) => id === answer.zone)?.properties.fluids?.map(({ fluid }) => fluid) ?? [];
  const parts = [
    `A spill of ${formatVolume(litres, units)} ${answer.zone ? `on ${nameOf(answer.zone)}` : 'here'}.`,
    voice().tell(FIRST_WORDS),
    ...fluidAdvice(answer.fluid, possible).map(voice().tell),
    ...warnings,
    '',
    heading(first),
    ...rest,
  ];
  if (answer.arrivals.length > 0) {
    const columns = [
      { title: 'OIL CAN BE AT' },
      { title: 'NO SOONER THAN', align: 'right' },
      { title: 'OF IT', align: 'right' },
    ] as const;
    const rows = answer.arrivals.map((each) => [
      nameOf(each.id),
      shortMinutes(each.minutes, voice()),
      formatVolume(each.litres, units),
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
  parts.push('', 'Take care', bullets(cautionsFor(answer.fluid).map(voice().tell)), 'Assumed', bullets(assumed));
  return parts.join('\n');
}
