import type { People } from '../../store/index.ts';
import { InputError, readBytes, throwErrors, UsageError } from './input.ts';
import { fileLine } from './print.ts';
import { say } from './voice.ts';

/** The first manager, for a machine without a terminal: a container, a service. */
interface FirstManager {
  name: string;
  /** Its first line is the password. */
  passwordFile: string;
}

/** What OILSHED_MANAGER and OILSHED_MANAGER_PASSWORD_FILE say; undefined where no manager is named. Throws a UsageError for a name without a file. */
export function firstManager({
  OILSHED_MANAGER: name,
  OILSHED_MANAGER_PASSWORD_FILE: passwordFile,
}: NodeJS.ProcessEnv): FirstManager | undefined {
  if (!name) return undefined;
  if (passwordFile) return { name, passwordFile };
  throw new UsageError(say('cli-errors.manager-file'));
}

/**
 * Adds the first manager to a log book that has no people; true where it did. One with people is left as it is, and the
 * file is not read: it may be gone by then. Throws an InputError for a file or a password that will not do.
 */
export async function addFirstManager(people: People, { name, passwordFile }: FirstManager): Promise<boolean> {
  if (!(await people.isEmpty())) return false;
  const [password] = readBytes(passwordFile).toString('utf8').split(/\r?\n/, 1);
  if (password === '') throw new InputError([fileLine(passwordFile, say('cli-errors.manager-line', { name }))]);
  const { problems } = await people.add({ name, role: 'manager', password });
  throwErrors(passwordFile, problems);
  return true;
}
