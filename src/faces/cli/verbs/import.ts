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
import { output, quantityWord, readText, throwErrors, UsageError, writeOut } from '../input.ts';
import { bullets, fileName, heading, problemLine, safe } from '../print.ts';
import { say, voice } from '../voice.ts';

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
    throw new UsageError(
      ruleProblems
        .map(({ field, message, cure }) => `${field}: ${voice().text(message)}; ${voice().text(cure)}`)
        .join('; '),
    );
  if (!flags.zones && (flags.boundary ?? flags.radius ?? flags.activity) !== undefined) {
    throw new UsageError('--boundary, --radius and --activity speak of zones; write --zones too');
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

function activityWord(word: string | undefined): Activity | undefined {
  if (word === undefined) return undefined;
  const activity = ACTIVITIES.find((each) => each === word);
  if (activity) return activity;
  throw new UsageError(`--activity is ${JSON.stringify(word)}; write one of ${ACTIVITIES.join(', ')}`);
}

function importText({ counts, problems }: Imported, { out, snapM }: { out: string; snapM: number }): string {
  const left = problems.filter(({ code }) => code === 'import-left-out');
  const guesses = problems.filter(({ code }) => code === 'import-guess');
  const rest = problems.filter(({ code }) => code !== 'import-left-out' && code !== 'import-guess');
  const list = (title: string, all: readonly Problem[]) => {
    if (all.length === 0) return [];
    const shown = all.slice(0, NOTES_SHOWN).map((each) => problemLine('', each).replace(/^: /, ''));
    const more = all.length > shown.length ? [`and ${all.length - shown.length} more, in --json`] : [];
    return ['', `${title} (${all.length})`, bullets([...shown, ...more])];
  };
  return [
    heading(`${out}: ${counts.zones} zones, ${counts.structures} structures, ${counts.links} links.`),
    `${counts.read} features read, ${counts.taken} taken, ${counts.leftOut} left out. Line ends within ${snapM} m of a structure were joined to it.`,
    ...list('Problems', rest),
    ...list('Left out', left),
    ...list('Guessed', guesses),
    '',
    `Next: oilshed check ${safe(out)}`,
  ].join('\n');
}
