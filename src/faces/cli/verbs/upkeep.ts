import { emptiedOf } from '../../../log-book/index.ts';
import type { SiteMap } from '../../../site-map/index.ts';
import { findUpkeep } from '../../../upkeep/index.ts';
import {
  chanceWords,
  contractorWords,
  thicknessWords,
  throughWords,
  UPKEEP_ASSUMED,
  upkeepSentences,
} from '../../words/upkeep.ts';
import { VISIT_CAUTIONS } from '../../words/visit.ts';
import { type FindingsSource, loadFindings } from '../findings.ts';
import { loadDrainage, namesOf, numberWord, output, siteName, unitsOf } from '../input.ts';
import { bullets, heading, safe, table } from '../print.ts';
import { MOST_RAIN_MM_PER_H } from '../spill-flags.ts';

/** `oilshed upkeep MAP --findings F [--rain MM_PER_H]`: how full is each separator, and when is the next visit due? */
export function upkeep(file: string, flags: { findings: FindingsSource; rain?: string; json?: boolean }): number {
  const drainage = loadDrainage(file);
  const { map } = drainage;
  const { findings: source } = flags;
  const emptied = typeof source === 'string' ? [] : emptiedOf(source.entries, map.site.timeZone ?? 'UTC');
  const rainMmPerH =
    flags.rain === undefined ? undefined : numberWord('--rain', flags.rain, { atLeast: 0, atMost: MOST_RAIN_MM_PER_H });
  const { answer, problems } = findUpkeep(drainage, loadFindings(source, map), { emptied, rainMmPerH });
  output(flags.json, { ...answer, problems }, () => {
    const units = unitsOf(map);
    const nameOf = namesOf(map);
    if (answer.separators.length === 0) return `${heading(siteName(map, file))} has no separator.`;
    const parts = answer.separators.flatMap((separator) => {
      const [first, ...rest] = upkeepSentences(separator, nameOf(separator.id), units);
      const chances = chanceWords(separator);
      const contractor = separator.state === 'pump-out' ? contractorWords(map.site.contacts ?? []) : '';
      return [
        heading(first),
        ...[...rest, contractor, throughWords(separator, separatorHasPlates(map, separator.id))]
          .filter(Boolean)
          .map(safe),
        ...(chances === '' ? [] : [`Past its limit by: ${chances}.`]),
        '',
      ];
    });
    const rows = answer.separators.map(({ id, state, oilMm, sludgeMm, nextVisitDays }) => [
      nameOf(id),
      state,
      oilMm === null ? '–' : thicknessWords(oilMm, units),
      sludgeMm === null ? '–' : thicknessWords(sludgeMm, units),
      `${nextVisitDays} d`,
    ]);
    const columns = [
      { title: 'SEPARATOR' },
      { title: 'STATE' },
      { title: 'OIL', align: 'right' },
      { title: 'SEDIMENT', align: 'right' },
      { title: 'NEXT VISIT', align: 'right' },
    ] as const;
    return [
      ...parts,
      table(columns, rows),
      '',
      'Take care',
      bullets(VISIT_CAUTIONS),
      'Assumed',
      bullets(UPKEEP_ASSUMED),
    ].join('\n');
  });
  return 0;
}

const separatorHasPlates = ({ structures }: SiteMap, id: string) =>
  structures.find((each) => each.id === id)?.properties.plates === true;
