import { checkMap, type MapReport } from '../../../drainage/index.ts';
import { hasErrors, type Problem, type SiteMap } from '../../../site-map/index.ts';
import { formatArea, formatRain } from '../../../units/index.ts';
import { output, readMap, siteName, unitsOf } from '../input.ts';
import { heading, problemLine, safe, table } from '../print.ts';

/** `oilshed check MAP`: is the map sound? Exit status 1 with errors; the object prints all the same. */
export function check(file: string, { json }: { json?: boolean }): number {
  const reading = readMap(file);
  const report = checkMap(reading);
  output(json, report, () => reportText(file, reading.map, report));
  for (const problem of report.problems) {
    if (problem.severity === 'error') process.stderr.write(`${problemLine(file, problem)}\n`);
  }
  return hasErrors(report.problems) ? 1 : 0;
}

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
    const rows = separators.map(({ id, zones, areaM2, designRainMmPerH }) => [
      id,
      String(zones.length),
      formatArea(areaM2, units),
      designRainMmPerH === null ? 'not stated' : formatRain(designRainMmPerH, units),
      zones.join(' '),
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
    parts.push(
      '',
      `Goes round every separator: ${unprotected.map((id) => safe(`${id} (${nameOf.get(id)})`)).join(', ')}.`,
    );
  }
  const shown = problems.filter(({ severity }) => severity !== 'error');
  if (shown.length > 0) {
    const rows = shown.map(({ severity, id, field, message, cure }) => [
      severity,
      id ?? 'the map',
      field ?? '',
      `${message}; ${cure}`,
    ]);
    parts.push('', table([{ title: 'PROBLEM' }, { title: 'AT' }, { title: 'FIELD' }, { title: 'WHAT TO DO' }], rows));
  }
  return parts.join('\n');
}
