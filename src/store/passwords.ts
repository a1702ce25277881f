import { randomBytes } from 'node:crypto';
import { createRequire } from 'node:module';
import { type Told, told } from '../catalogue/index.ts';
import { type Problem, problem } from '../site-map/index.ts';
import { notInstalled } from './fault.ts';

/** Which passwords may be chosen, and how they are kept. */

const SHORTEST_PASSWORD = 12;
const LONGEST_PASSWORD = 200;
/** So many of the commonest passwords are refused, whatever their capitals. */
const COMMONEST = 10_000;
/** A password must take at least so many guesses, as a power of ten: a guess by the estimate of zxcvbn (Wheeler 2016). */
const GUESSES_LOG10 = 9;
/** The estimate grows slow with the length; what is hard to guess by its beginning is hard. */
const MOST_ESTIMATED = 64;

/** The same letters may come as one character or as two, by keyboard. */
const asTyped = (password: string) => password.normalize('NFC');
const bytesOf = (password: string) => Buffer.from(asTyped(password));
const lengthOf = (password: string) => [...asTyped(password)].length;

/** A native library is loaded as it lies there, when it is needed; no bundle can hold it. */
function argon2(): typeof import('@node-rs/argon2') {
  try {
    return createRequire(import.meta.url)('@node-rs/argon2');
  } catch (error) {
    throw notInstalled('@node-rs/argon2', error);
  }
}

/** argon2id with 19 MiB and two passes, the library's own setting, which follows the OWASP password storage sheet (from memory). */
export const hashOf = (password: string): Promise<string> => argon2().hash(bytesOf(password));
export const isPassword = (hashed: string, password: string): Promise<boolean> =>
  argon2().verify(hashed, bytesOf(password));

const base64 = (length: number) => randomBytes(length).toString('base64').replace(/=+$/, '');
/** A hash that no password has, drawn and not worked out. To check against it takes as long as against anybody's. */
export const NOBODYS_HASH = `$argon2id$v=19$m=19456,t=2,p=1$${base64(16)}$${base64(32)}`;

interface Knowledge {
  commonest: ReadonlySet<string>;
  /** How many guesses it takes who knows these words, as a power of ten. */
  guessesLog10(password: string, words: string[]): number;
}

/** Lists of passwords and words, some megabytes: loaded when a password is first judged. */
let loaded: Promise<Knowledge> | undefined;
async function load(): Promise<Knowledge> {
  const [{ ZxcvbnFactory }, { dictionary, adjacencyGraphs }] = await Promise.all([
    import('@zxcvbn-ts/core'),
    import('@zxcvbn-ts/language-common'),
  ]).catch((error) => {
    throw notInstalled('@zxcvbn-ts', error);
  });
  const estimate = new ZxcvbnFactory({ dictionary, graphs: adjacencyGraphs });
  return {
    commonest: new Set(dictionary['passwords-common'].slice(0, COMMONEST)),
    guessesLog10: (password, words) => estimate.check(password.slice(0, MOST_ESTIMATED), words).guessesLog10,
  };
}
const knowledge = (): Promise<Knowledge> => {
  loaded ??= load();
  return loaded;
};

/** Whether a password that was allowed once is so weak by now that another must be chosen. */
export async function isOutdated(password: string): Promise<boolean> {
  return lengthOf(password) < SHORTEST_PASSWORD || isCommon(password, await knowledge());
}

const isCommon = (password: string, { commonest }: Knowledge) => commonest.has(asTyped(password).toLowerCase());

/** Why somebody may not choose a password, which stands in `field`. What was given is never said again. */
export async function passwordProblems(
  { name, password }: { name: string; password: string },
  field = 'password',
): Promise<Problem[]> {
  const refuse = (message: Told, allowed: Told, cure: Told) => [
    problem('bad-field', { id: name, field }, { message, allowed, cure }),
  ];
  const length = lengthOf(password);
  if (length < SHORTEST_PASSWORD || length > LONGEST_PASSWORD) {
    const range = { least: SHORTEST_PASSWORD, most: LONGEST_PASSWORD };
    const message = told('store.password-length', { count: length });
    return refuse(message, told('store.password-length-allowed', range), told('store.password-length-remedy', range));
  }
  const known = await knowledge();
  const cure = told('store.password-longer');
  if (isCommon(password, known))
    return refuse(told('store.password-common'), told('store.password-common-allowed'), cure);
  const words = ['oilshed', name, ...name.split(/[^\p{L}\p{N}]+/u).filter((word) => word.length > 2)];
  if (known.guessesLog10(asTyped(password), words) >= GUESSES_LOG10) return [];
  return refuse(told('store.password-guessed'), told('store.password-guessed-allowed'), cure);
}
