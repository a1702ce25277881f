import { entriesInForce, upkeepQuestion, visitsDue } from '../../../log-book/index.ts';
import { isoTime, type SiteMap } from '../../../site-map/index.ts';
import { findUpkeep, type SeparatorUpkeep } from '../../../upkeep/index.ts';
import {
  chanceWords,
  contractorWords,
  dueWords,
  fullSentences,
  thicknessWords,
  throughWords,
  upkeepAssumptions,
  visitCautions,
} from '../../../words/index.ts';
import { type FindingsSource, loadFindings } from '../findings.ts';
import { loadDrainage, namesOf, output, quantityWord, siteName } from '../input.ts';
import { bullets, heading, safe, table } from '../print.ts';
import { MOST_RAIN_MM_PER_H } from '../spill-flags.ts';
import { voice } from '../voice.ts';

/** `oilshed upkeep MAP --findings F [--rain MM_PER_H]`: how full is each separator, and when is the next visit due? */
export async function upkeep(
  file: string,
  flags: { findings: FindingsSource; rain?: string; json?: boolean },
): Promise<number> {
  const drainage = await loadDrainage(file);
  const { map } = drainage;
  const { findings: source } = flags;
  const { timeZone } = map.site;
  const ofBook = typeof source === 'string' ? {} : upkeepQuestion(source.entries, timeZone);
  const rainMmPerH =
    flags.rain === undefined
      ? undefined
      : quantityWord('--rain', flags.rain, { quantity: 'mm/h', atLeast: 0, atMost: MOST_RAIN_MM_PER_H });
  const { answer, problems } = findUpkeep(drainage, loadFindings(source, map), { ...ofBook, rainMmPerH });
  const first = typeof source === 'string' ? undefined : entriesInForce(source.entries)[0];
  const today = isoTime(Date.now(), timeZone).slice(0, 10);
  const visits = visitsDue(answer.separators, { unreadFrom: first?.at ?? today, timeZone });
  const due = new Map(visits.map((visit) => [visit.id, visit.due]));
  // Without a visit or a log book the day depends on today's date, so it stands in the text and not in the JSON.
  const isDated = (each: SeparatorUpkeep) => first !== undefined || each.lookedAt !== null;
  const separators = answer.separators.map((each) => ({ ...each, due: isDated(each) ? due.get(each.id) : null }));
  output(flags.json, { separators, problems }, () => {
    const nameOf = namesOf(map);
    if (visits.length === 0) return `${heading(siteName(map, file))} has no separator.`;
    const parts = visits.flatMap((visit) => {
      const [first, ...rest] = fullSentences(visit, { name: nameOf(visit.id), today }, voice());
      const chances = chanceWords(visit, voice());
      const contractor = visit.state === 'pump-out' ? contractorWords(map.site.contacts ?? [], voice()) : '';
      return [
        heading(first),
        ...[...rest, contractor, throughWords(visit, { hasPlates: separatorHasPlates(map, visit.id) }, voice())]
          .filter(Boolean)
          .map(safe),
        ...(chances === '' ? [] : [`Past its limit by: ${chances}.`]),
        '',
      ];
    });
    const rows = visits.map(({ id, state, oilMm, oilLitres, sludgeMm, due }) => [
      nameOf(id),
      oilLitres === null && state === 'fine' ? 'not read' : state,
      oilMm === null ? '–' : thicknessWords(oilMm, voice()),
      sludgeMm === null ? '–' : thicknessWords(sludgeMm, voice()),
      due,
      dueWords(due, today, voice()),
    ]);
    const columns = [
      { title: 'SEPARATOR' },
      { title: 'STATE' },
      { title: 'OIL', align: 'right' },
      { title: 'SEDIMENT', align: 'right' },
      { title: 'NEXT VISIT' },
      { title: '' },
    ] as const;
    return [
      ...parts,
      table(columns, rows),
      '',
      'Take care',
      bullets(visitCautions(voice())),
      'Assumed',
      bullets(upkeepAssumptions(voice())),
    ].join('\n');
  });
  return 0;
}

const separatorHasPlates = ({ structures }: SiteMap, id: string) =>
  structures.find((each) => each.id === id)?.properties.plates === true;
