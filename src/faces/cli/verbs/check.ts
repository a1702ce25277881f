import { checkMap, type MapReport } from '../../../drainage/index.ts';
import { hasErrors, type Problem, type Severity, type SiteMap, sayProblem } from '../../../site-map/index.ts';
import { takesMinutes } from '../../../words/index.ts';
import { output, readMap, siteName } from '../input.ts';
import { heading, left, right, safe, sayProblems, table } from '../print.ts';
import { say, voice } from '../voice.ts';

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

/** The site's name, which stands out, and whether its map can be used. */
function verdict(site: string, problems: readonly Problem[]): string {
  const count = (severity: Severity) => problems.filter((each) => each.severity === severity).length;
  const [errors, warnings, notes] = [count('error'), count('warning'), count('note')];
  if (errors > 0) return say('cli.check-errors', { site, errors });
  if (warnings > 0 && notes > 0) return say('cli.check-sound-both', { site, warnings, notes });
  if (warnings > 0) return say('cli.check-sound-warnings', { site, warnings });
  return notes > 0 ? say('cli.check-sound-notes', { site, notes }) : say('cli.check-sound', { site });
}

function reportText(file: string, map: SiteMap, report: MapReport): string {
  const { counts, separators, unprotected, problems } = report;
  const { text } = voice();
  const nameOf = new Map(map.zones.map(({ id, name }) => [id, name]));
  const parts = [
    verdict(heading(siteName(map, file)), problems),
    say('cli.check-counts', { zones: counts.zones, structures: counts.structures, links: counts.links }),
  ];
  if (separators.length > 0) {
    const rows = separators.map(({ id, zones, areaM2, designRainMmPerH, concentrationMinutes }) => [
      id,
      String(zones.length),
      text({ squareMetres: areaM2 }),
      designRainMmPerH === null
        ? say('cli.check-not-stated')
        : say('cli.check-overrun', {
            rain: { mmPerHour: designRainMmPerH },
            time: takesMinutes(concentrationMinutes, voice()),
          }),
      shortList(zones, ' '),
    ]);
    const columns = [
      left('cli.column-separator'),
      right('cli.column-zones'),
      right('cli.column-area'),
      right('cli.check-column-overrun'),
      left('cli.check-column-which'),
    ];
    parts.push('', table(columns, rows));
  }
  if (unprotected.length > 0) {
    const named = unprotected.map((id) => (nameOf.get(id) === id ? id : `${id} (${nameOf.get(id)})`));
    parts.push('', safe(say('cli.check-goes-round', { zones: shortList(named, ', ') })));
  }
  // What goes round stands in its own line above.
  const rest = problems.filter(({ severity, code }) => severity !== 'error' && code !== 'goes-round');
  if (rest.length > 0) parts.push('', problemTable(rest));
  return parts.join('\n');
}

/** A list cut after as many words as a line holds. */
function shortList(words: readonly string[], between: string): string {
  const shown = words.slice(0, LIST_SHOWN).join(between);
  const more = words.length - LIST_SHOWN;
  return more > 0 ? say('cli.and-more', { list: shown, count: more }) : shown;
}

/** Problems as a table; of one code, the first few and how many more there are. */
function problemTable(problems: readonly Problem[]): string {
  const seen = new Map<string, number>();
  const rows: string[][] = [];
  for (const each of problems) {
    const { code, severity, id, field, message, cure } = sayProblem(each, voice());
    const count = (seen.get(code) ?? 0) + 1;
    seen.set(code, count);
    if (count <= LIST_SHOWN) {
      rows.push([say('cli.severity', { severity }), id ?? say('cli.the-map'), field ?? '', `${message}; ${cure}`]);
    }
  }
  const columns = (
    ['cli.check-column-problem', 'cli.column-at', 'cli.check-column-field', 'cli.check-column-do'] as const
  ).map(left);
  const listed = table(columns, rows);
  const more = [...seen]
    .filter(([, count]) => count > LIST_SHOWN)
    .map(([code, count]) => say('cli.check-more-of', { count: count - LIST_SHOWN, code }));
  return more.length > 0 ? `${listed}\n  ${say('cli.check-and-more', { list: more.join(', ') })}` : listed;
}
