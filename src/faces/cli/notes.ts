import type { Problem } from '../../site-map/index.ts';
import { problemLine } from './print.ts';
import { writeError } from './progress.ts';
import { world } from './world.ts';

/** `--quiet`: from now on nothing but the answer and errors. */
export function beQuiet(): void {
  world().isQuiet = true;
}

/** A line for a person on standard error: worth knowing, and no error. */
export function note(line: string): void {
  if (!world().isQuiet) writeError(`${line}\n`);
}

/** Problems with which the answer stands, one line each. */
export function noteProblems(file: string, problems: readonly Problem[]): void {
  for (const each of problems) note(problemLine(file, each));
}
