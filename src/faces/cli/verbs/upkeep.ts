import { entriesInForce, upkeepQuestion, visitsDue } from '../../../log-book/index.ts';
import { isoTime, type SiteMap } from '../../../site-map/index.ts';
import { MOST_RAIN_MM_PER_H } from '../../../spill/index.ts';
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
import { bullets, type Column, heading, left, right, safe, table } from '../print.ts';
import { say, voice } from '../voice.ts';

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
    const { text } = voice();
    if (visits.length === 0) return say('cli.upkeep-no-separator', { site: heading(siteName(map, file)) });
    const parts = visits.flatMap((visit) => {
      const [first, ...rest] = fullSentences(visit, { name: nameOf(visit.id), today }, voice());
      const chances = chanceWords(visit, voice());
      const contractor = visit.state === 'pump-out' ? contractorWords(map.site.contacts ?? [], voice()) : '';
      return [
        heading(first),
        ...[...rest, contractor, throughWords(visit, { hasPlates: separatorHasPlates(map, visit.id) }, voice())]
          .filter(Boolean)
          .map(safe),
        ...(chances === '' ? [] : [say('cli.upkeep-past-limit', { chances })]),
        '',
      ];
    });
    const rows = visits.map(({ id, state, oilMm, oilLitres, sludgeMm, due }) => [
      nameOf(id),
      say(oilLitres === null && state === 'fine' ? 'things.state-not-read' : `things.state-${state}`),
      oilMm === null ? '–' : thicknessWords(oilMm, voice()),
      sludgeMm === null ? '–' : thicknessWords(sludgeMm, voice()),
      text({ day: due }),
      dueWords(due, today, voice()),
    ]);
    const columns: Column[] = [
      left('cli.column-separator'),
      left('cli.upkeep-column-state'),
      right('cli.upkeep-column-oil'),
      right('cli.upkeep-column-sediment'),
      left('cli.upkeep-column-next'),
      { title: '' },
    ];
    return [
      ...parts,
      table(columns, rows),
      '',
      say('cli.take-care'),
      bullets(visitCautions(voice())),
      say('cli.assumed'),
      bullets(upkeepAssumptions(voice())),
    ].join('\n');
  });
  return 0;
}

const separatorHasPlates = ({ structures }: SiteMap, id: string) =>
  structures.find((each) => each.id === id)?.properties.plates === true;
