import { QUESTIONS, type Question } from './picked.ts';

/** What an address says. What it leaves out is null. Nothing that was typed stands in it, and nobody's name. */
export interface Route {
  question: Question;
  /** What the question is about: the place of a spill, a part of the plan, a separator. */
  subject: string | null;
  /** What is picked. */
  pick: string | null;
  /** The finding whose form is open. */
  finding: string | null;
  /** The place of a finding that is being added. */
  add: string | null;
  /** What is open over the map, such as "visit/SEP-1". */
  open: string | null;
  /** Which yard: a demo yard by its name, one's own by the mark of its site. */
  yard: string | null;
  lang: string | null;
  units: string | null;
  look: string | null;
}

const WORDS: Readonly<Record<Question, string>> = { from: 'found', block: 'spill', kits: 'prepare', full: 'separator' };
/** Where oil was found there is no subject beside what is picked. */
const PICKED_IN_PATH: Question = 'from';
const QUERY = ['pick', 'finding', 'add', 'open', 'yard', 'lang', 'units', 'look'] as const;

export const NOWHERE: Route = {
  question: 'from',
  subject: null,
  pick: null,
  finding: null,
  add: null,
  open: null,
  yard: null,
  lang: null,
  units: null,
  look: null,
};

/** The route as the part of an address from "#" on: "#/spill/Z-1?pick=CB-4&lang=es". */
export function hashOf(route: Route): string {
  const isInPath = route.question === PICKED_IN_PATH;
  const place = isInPath ? route.pick : route.subject;
  const query = QUERY.flatMap((key) => {
    const value = isInPath && key === 'pick' ? null : route[key];
    return value === null ? [] : [`${key}=${encoded(value)}`];
  });
  const path = `#/${WORDS[route.question]}${place === null ? '' : `/${encoded(place)}`}`;
  return query.length > 0 ? `${path}?${query.join('&')}` : path;
}

/** Slashes, commas and signs of places stay as they are read; what would end the part it stands in does not. */
const encoded = (text: string) => encodeURIComponent(text).replace(/%(?:2F|2C|40|3A)/g, decodeURIComponent);

/**
 * What an address asks for; null where it asks for nothing that is known here. "#spill=Z-1", as older cards have it, and
 * "#/log/visit/SEP-1" are understood too.
 */
export function routeIn(hash: string): Route | null {
  const [, zone] = /^#spill=(.+)$/.exec(hash) ?? [];
  if (zone !== undefined) return { ...NOWHERE, question: 'block', subject: decoded(zone) };
  const [, path, query = ''] = /^#\/([^?]*)(?:\?(.*))?$/.exec(hash) ?? [];
  if (path === undefined) return null;
  const said = new Map(
    query.split('&').map((part): [string, string] => {
      const [key, ...value] = part.split('=');
      return [key, decoded(value.join('='))];
    }),
  );
  const asked = Object.fromEntries(QUERY.map((key) => [key, said.get(key) || null]));
  const [word, ...rest] = path.split('/');
  const place = decoded(rest.join('/')) || null;
  if (word === 'log') return { ...NOWHERE, ...asked, question: 'full', open: place ?? 'list' };
  const question = QUESTIONS.find((each) => WORDS[each] === word);
  if (!question) return null;
  const route = { ...NOWHERE, ...asked, question };
  return question === PICKED_IN_PATH ? { ...route, pick: place } : { ...route, subject: place };
}

function decoded(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}
