import { checkMap, type MapReport } from '../../../drainage/index.ts';
import { hasErrors, type Problem, type SiteMap, sayProblem } from '../../../site-map/index.ts';
import { formatArea, formatRain } from '../../../units/index.ts';
import { takesMinutes } from '../../../words/index.ts';
import { output, readMap, siteName, unitsOf } from '../input.ts';
import { heading, safe, sayProblems, table } from '../print.ts';
import { voice } from '../voice.ts';

/** `oilshed check MAP`: is the map sound? Exit status 1 with errors; the object prints all the same. */
export async function check(file: string, { json }: { json?: boolean }): Promise<number> {
  const reading = await readMap(file);
  const report = checkMap(reading);
  output(json, report, () => reportText(file, reading.map, report));
  sayProblems(
    file,
    report.problems.filter(({ severity }) => severity === 'error'),
  );
  return hasErrors(report.problems) ? 1 : 0;
}

/** Of a long list, this much is printed; `--json` has all of it. */
const LIST_SHOWN = 16;

const plural = (count: number, word: string) => `${count} ${word}${count === 1 ? '' : 's'}`;

function verdict(problems: readonly Problem[]): string {
  const count = (severity: string) => problems.filter((each) => each.severity === severity).length;
  if (count('error') > 0) return `cannot be used yet: ${plural(count('error'), 'error')}.`;
  const rest = [
    count('warning') && plural(count('warning'), 'warning'),
    count('note') && plural(count('note'), 'note'),
  ].filter(Boolean);
  return rest.length > 0 ? `sound, with ${rest.join(' and ')}.` : 'sound.';
}

function reportText(file: string, map: SiteMap, report: MapReport): string {
  const { counts, separators, unprotected, problems } = report;
  const units = unitsOf(map);
  const nameOf = new Map(map.zones.map(({ id, name }) => [id, name]));
  const parts = [
    `${heading(siteName(map, file))}: ${verdict(problems)}`,
    `${plural(counts.zones, 'zone')}, ${plural(counts.structures, 'structure')}, ${plural(counts.links, 'link')}.`,
  ];
  if (separators.length > 0) {
    const rows = separators.map(({ id, zones, areaM2, designRainMmPerH, concentrationMinutes }) => [
      id,
      String(zones.length),
      formatArea(areaM2, units),
      designRainMmPerH === null
        ? 'not stated'
        : `${formatRain(designRainMmPerH, units)} for ${takesMinutes(concentrationMinutes, voice())}`,
      shortList(zones, ' '),
    ]);
    const columns = [
      { title: 'SEPARATOR' },
      { title: 'ZONES', align: 'right' },
      { title: 'AREA', align: 'right' },
      { title: 'OVERRUN ABOVE', align: 'right' },
      { title: 'WHICH' },
    ] as const;
    parts.push('', table(columns, rows));
  }
  if (unprotected.length > 0) {
    const named = unprotected.map((id) => (nameOf.get(id) === id ? id : `${id} (${nameOf.get(id)})`));
    parts.push('', safe(`Goes round every separator: ${shortList(named, ', ')}.`));
  }
  // What goes round stands in its own line above.
  const rest = problems.filter(({ severity, code }) => severity !== 'error' && code !== 'goes-round');
  if (rest.length > 0) parts.push('', problemTable(rest));
  return parts.join('\n');
}

/** A list cut after as many words as a line holds. */
function shortList(words: readonly string[], between: string): string {
  const shown = words.slice(0, LIST_SHOWN).join(between);
  return words.length > LIST_SHOWN ? `${shown}${between}and ${words.length - LIST_SHOWN} more` : shown;
}

/** Problems as a table; of one code, the first few and how many more there are. */
function problemTable(problems: readonly Problem[]): string {
  const seen = new Map<string, number>();
  const rows: string[][] = [];
  for (const each of problems) {
    const { code, severity, id, field, message, cure } = sayProblem(each, voice());
    const count = (seen.get(code) ?? 0) + 1;
    seen.set(code, count);
    if (count <= LIST_SHOWN) rows.push([severity, id ?? 'the map', field ?? '', `${message}; ${cure}`]);
  }
  const listed = table([{ title: 'PROBLEM' }, { title: 'AT' }, { title: 'FIELD' }, { title: 'WHAT TO DO' }], rows);
  const more = [...seen]
    .filter(([, count]) => count > LIST_SHOWN)
    .map(([code, count]) => `${count - LIST_SHOWN} more of ${code}`);
  return more.length > 0 ? `${listed}\n  and ${more.join(', ')}, in --json` : listed;
}
