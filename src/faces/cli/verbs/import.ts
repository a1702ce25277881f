import { basename } from 'node:path';
import {
  ACTIVITIES,
  type Activity,
  hasErrors,
  type Imported,
  importLayers,
  type Layer,
  type Problem,
  parseImportRules,
  SNAP_M,
  writeSiteMap,
} from '../../../site-map/index.ts';
import { oneOf, output, quantityWord, readText, throwErrors, UsageError, writeOut } from '../input.ts';
import { bullets, fileName, heading, problemWords, safe } from '../print.ts';
import { say } from '../voice.ts';

interface ImportFlags {
  out: string;
  keep: string[];
  kind: string[];
  snap?: string;
  name?: string;
  zones?: boolean;
  boundary?: string;
  radius?: string;
  activity?: string;
  json?: boolean;
}

const NOTES_SHOWN = 12;

/** `oilshed import FILES… --out MAP`: a site map from GIS layers. */
export function importFiles(files: readonly string[], flags: ImportFlags): number {
  const { problems: ruleProblems, ...rules } = parseImportRules({ keep: flags.keep, kind: flags.kind });
  if (ruleProblems.length > 0)
    throw new UsageError(ruleProblems.map((each) => problemWords({ ...each, id: null })).join('; '));
  if (!flags.zones && (flags.boundary ?? flags.radius ?? flags.activity) !== undefined) {
    throw new UsageError(say('cli-errors.zones-too'));
  }
  const zones = flags.zones
    ? {
        activity: activityWord(flags.activity),
        radiusM:
          flags.radius === undefined
            ? undefined
            : quantityWord('--radius', flags.radius, { quantity: 'metres', above: 0 }),
        boundary: flags.boundary === undefined ? undefined : readLayer(flags.boundary),
        nameOf: (inlet: string) => say('import.ground-around', { inlet }),
      }
    : undefined;
  const snapM =
    flags.snap === undefined
      ? SNAP_M
      : quantityWord('--snap', flags.snap, { quantity: 'metres', above: 0, atMost: 100 });
  const imported = importLayers(files.map(readLayer), {
    ...rules,
    name: flags.name ?? basename(flags.out).replace(/\.(geo)?json$/, ''),
    snapM,
    zones,
  });
  throwErrors(files.join(' '), imported.problems);
  writeOut(flags.out, writeSiteMap(imported.file));
  output(flags.json, { counts: imported.counts, problems: imported.problems }, () =>
    importText(imported, { out: flags.out, snapM }),
  );
  return hasErrors(imported.problems) ? 1 : 0;
}

const readLayer = (file: string): Layer => ({ name: fileName(file), text: readText(file) });

const activityWord = (word: string | undefined): Activity | undefined =>
  word === undefined ? undefined : oneOf('--activity', word, ACTIVITIES);

function importText({ counts, problems }: Imported, { out, snapM }: { out: string; snapM: number }): string {
  const left = problems.filter(({ code }) => code === 'import-left-out');
  const guesses = problems.filter(({ code }) => code === 'import-guess');
  const rest = problems.filter(({ code }) => code !== 'import-left-out' && code !== 'import-guess');
  const list = (key: 'cli.problems' | 'cli.left-out' | 'cli.guessed', all: readonly Problem[]) => {
    if (all.length === 0) return [];
    const shown = all.slice(0, NOTES_SHOWN).map(problemWords);
    const more = all.length > shown.length ? [say('cli.more-in-json', { count: all.length - shown.length })] : [];
    return ['', say(key, { count: all.length }), bullets([...shown, ...more])];
  };
  const { read, taken, leftOut, zones, structures, links } = counts;
  return [
    heading(say('cli.import-made', { file: out, zones, structures, links })),
    say('cli.import-read', { read, taken, left: leftOut, snap: `${snapM} m` }),
    ...list('cli.problems', rest),
    ...list('cli.left-out', left),
    ...list('cli.guessed', guesses),
    '',
    safe(say('cli.import-next', { command: `oilshed check ${out}` })),
  ].join('\n');
}
