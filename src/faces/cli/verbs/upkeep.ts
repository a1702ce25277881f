import { emptiedOf } from '../../../log-book/index.ts';
import { formatNumber } from '../../../units/index.ts';
import { findUpkeep } from '../../../upkeep/index.ts';
import { chanceWords, thicknessWords, UPKEEP_ASSUMED, upkeepSentences } from '../../words/upkeep.ts';
import { type FindingsSource, loadFindings } from '../findings.ts';
import { loadDrainage, namesOf, output, siteName, unitsOf } from '../input.ts';
import { bullets, heading, safe, table } from '../print.ts';

/** `oilshed upkeep MAP --findings F`: how full is each separator, and when is the next visit due? */
export function upkeep(file: string, flags: { findings: FindingsSource; json?: boolean }): number {
  const drainage = loadDrainage(file);
  const { map } = drainage;
  const { findings: source } = flags;
  const emptied = typeof source === 'string' ? [] : emptiedOf(source.entries, map.site.timeZone ?? 'UTC');
  const { answer, problems } = findUpkeep(drainage, loadFindings(source, map), emptied);
  output(flags.json, { ...answer, problems }, () => {
    const units = unitsOf(map);
    const nameOf = namesOf(map);
    if (answer.separators.length === 0) return `${heading(siteName(map, file))} has no separator.`;
    const parts = answer.separators.flatMap((separator) => {
      const [first, ...rest] = upkeepSentences(separator, nameOf(separator.id), units);
      const chances = chanceWords(separator);
      return [heading(first), ...rest.map(safe), ...(chances === '' ? [] : [`Past its limit by: ${chances}.`]), ''];
    });
    const rows = answer.separators.map(({ id, state, oilMm, sludgeMm, nextVisitDays, smallestCaughtUm }) => [
      nameOf(id),
      state,
      oilMm === null ? '–' : thicknessWords(oilMm, units),
      sludgeMm === null ? '–' : thicknessWords(sludgeMm, units),
      `${nextVisitDays} d`,
      smallestCaughtUm === null ? '–' : `${formatNumber(smallestCaughtUm)} µm`,
    ]);
    const columns = [
      { title: 'SEPARATOR' },
      { title: 'STATE' },
      { title: 'OIL', align: 'right' },
      { title: 'SEDIMENT', align: 'right' },
      { title: 'NEXT VISIT', align: 'right' },
      { title: 'SMALLEST DROP CAUGHT', align: 'right' },
    ] as const;
    const cautions = [
      'Nobody enters the vault: licensed confined-space contractors only.',
      'Wear gloves. Local codes and permits come first.',
    ];
    return [
      ...parts,
      table(columns, rows),
      '',
      'Take care',
      bullets(cautions),
      'Assumed',
      bullets(UPKEEP_ASSUMED),
    ].join('\n');
  });
  return 0;
}
