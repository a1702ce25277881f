import { conditionOf, type Entry } from '../log-book/index.ts';
import { isSeen } from '../sources/index.ts';
import { formatVolume, type Units } from '../units/index.ts';
import { type Condition, oilIn, type Step } from '../upkeep/index.ts';
import { foundWords, seenInList } from './finding.ts';
import { listWords } from './list.ts';
import { thicknessWords } from './upkeep.ts';

/** Words for what visits see, for what follows from it, and for entries of the log book: on the web and on paper. */

const STEPS: Readonly<Record<Step, { say: string; why: string }>> = {
  'pump-out-oil': { say: 'Call the contractor to pump it out.', why: 'Oil has reached its limit.' },
  'pump-out-sediment': { say: 'Call the contractor to pump it out.', why: 'Sediment has reached its limit.' },
  'clean-outlet': { say: 'Clean the outlet, and come sooner.', why: 'A sheen there means that oil gets past.' },
  'fish-out-packs': { say: 'Fish the loose pack out.', why: 'A loose pack can block a pipe.' },
  'change-packs': { say: 'Change the packs.', why: 'Soaked packs take up no more oil.' },
  'put-packs-in': { say: 'Put packs in.', why: 'Without packs nothing takes up the oil.' },
  'more-packs': { say: 'Add packs.', why: 'There is more oil than the packs can take up.' },
  'take-out-debris': { say: 'Take the debris out.', why: 'Debris can block the pipes.' },
  'watch-sediment': { say: 'Measure the sediment at every visit.', why: 'It is over half its limit.' },
  'replace-plates': { say: 'Have the plates replaced.', why: 'Damaged plates let oil through.' },
  'mend-concrete': { say: 'Have the concrete mended.', why: 'Oily water can leak out through a crack.' },
};

/** What to do, and why. */
export const stepWords = (step: Step): { say: string; why: string } => STEPS[step];

/** Steps that say the same are one, with both reasons. */
export function joinedSteps(steps: readonly Step[]): { say: string; why: string }[] {
  const whys = new Map<string, string[]>();
  for (const { say, why } of steps.map(stepWords)) whys.set(say, [...(whys.get(say) ?? []), why]);
  return [...whys].map(([say, why]) => ({ say, why: why.join(' ') }));
}

export interface ConditionLine {
  label: string;
  value: string;
  /** The steps that what was seen here can lead to. */
  steps: readonly Step[];
}

const PACKS = { 'in-place': 'in place', adrift: 'adrift', missing: 'missing' } as const;
const PACK_COLOUR = { fresh: 'fresh', used: 'used, room left', soaked: 'soaked' } as const;
const PACKS_RIDE = { high: 'high in the water', deep: 'deep in the water' } as const;
const PLATES = {
  sound: 'sound',
  broken: 'broken',
  deformed: 'deformed',
  cracked: 'cracked',
  none: 'it has none',
} as const;
const CONCRETE = { sound: 'sound', cracked: 'cracked' } as const;

/** Everything that was looked at, in the order of the visit; what was not looked at is left out. */
export function conditionWords(condition: Condition, units: Units): ConditionLine[] {
  const { sludgeMm, packs, sorbent, packsRide, debris, plates, concrete, sheenAtOutlet } = condition;
  const lines: [string, string | undefined, Step[]][] = [
    ['Sediment', sludgeMm === undefined ? sludgeMm : thicknessWords(sludgeMm, units), SEDIMENT_STEPS],
    ['Packs', packs && PACKS[packs], ['fish-out-packs', 'put-packs-in']],
    ['Colour of the packs', sorbent && PACK_COLOUR[sorbent], ['change-packs']],
    ['How the packs ride', packsRide && PACKS_RIDE[packsRide], ['change-packs']],
    ['Floating debris', debris === undefined ? debris : debris ? 'some' : 'none', ['take-out-debris']],
    ['Plates', plates && PLATES[plates], ['replace-plates']],
    ['Concrete', concrete && CONCRETE[concrete], ['mend-concrete']],
    [
      'Water at the outlet',
      sheenAtOutlet === undefined ? undefined : sheenAtOutlet ? 'a sheen' : 'clear',
      OUTLET_STEPS,
    ],
  ];
  const seen = lines.flatMap(([label, value, steps]) => (value === undefined ? [] : [{ label, value, steps }]));
  return [...oilLines(condition, units), ...seen];
}

const OIL_STEPS: Step[] = ['pump-out-oil', 'more-packs'];
const SEDIMENT_STEPS: Step[] = ['pump-out-sediment', 'watch-sediment'];
const OUTLET_STEPS: Step[] = ['clean-outlet'];

/** A line for each chamber, and where there are several one for all of them, which is what the limit is for. */
function oilLines(condition: Condition, units: Units): ConditionLine[] {
  const { chambers = [] } = condition;
  const oil = oilIn(condition);
  if (!oil) return [];
  const value = (oilMm: number, areaM2: number) =>
    `${thicknessWords(oilMm, units)}, ${formatVolume(oilMm * areaM2, units)}`;
  if (chambers.length === 1) return [{ label: 'Oil', value: value(chambers[0].oilMm, oil.areaM2), steps: OIL_STEPS }];
  return [
    ...chambers.map(({ name, oilMm, areaM2 }, at) => ({
      label: `Oil, ${name ?? `chamber ${at + 1}`}`,
      value: value(oilMm, areaM2),
      steps: [],
    })),
    { label: 'Oil in all', value: value(oil.litres / oil.areaM2, oil.areaM2), steps: OIL_STEPS },
  ];
}

/** What a visit says beside what to do. */
export const VISIT_CAUTIONS: readonly string[] = [
  'Nobody enters the vault: licensed confined-space contractors only.',
  'Wear gloves.',
  'Keep out of vapours; no smoking, no sparks, no flame.',
  'Report as local rules require.',
  'This is advice: local codes and permits come first.',
];

/** Letters of a note that stand in one line; the log book has the rest. */
const MOST_LETTERS = 240;
/** Parts of a list that stand in one line. */
const MOST_PARTS = 12;

/**
 * What an entry of any kind says, in one line. `nameOf` gives the name of a place by its id, and of an earlier entry
 * ("entry 12") by its. Takes any body: what it does not know it leaves out. Never throws.
 */
export function entryWords(entry: Entry, nameOf: (id: string) => string, units: Units): string {
  const { kind } = entry;
  const body: Body = typeof entry.body === 'object' && entry.body !== null ? entry.body : {};
  const where = (field: unknown) => (text(field) === '' ? '' : nameOf(text(field)));
  const words = Object.hasOwn(KINDS, kind) ? KINDS[kind]({ body, where, units }) : text(kind) || 'An entry';
  const note = SAYS_ITS_NOTE.includes(kind) ? '' : text(body.note);
  return cut([words, note].filter((part) => part !== '').join('. '));
}

type Body = Record<string, unknown>;
interface Said {
  body: Body;
  /** The name of the place, or the entry, whose id stands in a field; empty where none does. */
  where: (field: unknown) => string;
  units: Units;
}

const SAYS_ITS_NOTE: readonly string[] = ['corrective', 'correction'];

const KINDS: Readonly<Record<Entry['kind'], (said: Said) => string>> = {
  visit({ body, where, units }) {
    const place = where(body.at) || 'the yard';
    const seen = seenInVisit(body, units);
    return seen === '' ? `Visited ${place}` : `Read ${place}: ${seen}`;
  },
  finding({ body, where, units }) {
    const [place, fluid] = [where(body.at) || 'a place not named', fluidWords(body.fluid)];
    if (isSeen(body.seen)) return foundWords(body.seen, place, fluid);
    if (body.event !== undefined) {
      const released = amountWords(body.event, units);
      return `Saw ${released === '' ? '' : `${released} of `}${fluid} released in ${place}`;
    }
    const amount = amountWords(body.amount, units);
    return amount === '' ? `Found ${fluid} in ${place}` : `Found ${amount} of ${fluid} in ${place}`;
  },
  spill({ body, where, units }) {
    const litres = number(body.litres);
    const amount = litres === null ? '' : ` of ${formatVolume(litres, units)}`;
    const place = where(body.zone) || pointWords(body.point);
    const more = [
      body.reachedWater === true ? 'it reached water' : body.reachedWater === false ? 'it reached no water' : '',
      labelled('called', body.called),
      labelled('report number', body.reference),
    ];
    return [`Spill${amount} of ${fluidWords(body.fluid)}${place && ` on ${place}`}`, ...more]
      .filter((part) => part !== '')
      .join('; ');
  },
  action({ body, where, units }) {
    const action = text(body.action);
    const [what, how] = Object.hasOwn(ACTIONS, action) ? ACTIONS[action] : [action || 'Something was done', ' at'];
    const place = where(body.at);
    const litres = number(body.litres);
    const volume = litres === null ? '' : formatVolume(litres, units);
    // What a truck takes is oil, water and sediment together.
    const out = volume && (action === 'pump-out' ? `, ${volume} taken out in all` : `, ${volume}`);
    return (place === '' ? what : `${what}${how} ${place}`) + out;
  },
  corrective({ body }) {
    const closed = text(body.closed);
    const when = closed === '' ? `Work due by ${day(body.due)}` : `Work closed on ${day(closed)}`;
    return [when, text(body.note)].filter((part) => part !== '').join(': ');
  },
  sample({ body, where }) {
    const place = where(body.at) || 'a place not named';
    const results = plain(body.results);
    return `Sample at ${place}${results && `: ${results}`}`;
  },
  correction({ body, where }) {
    const id = text(body.corrects);
    const named = where(body.corrects);
    return [`Corrects ${named === id ? 'an earlier entry' : named}`, text(body.note)]
      .filter((part) => part !== '')
      .join(': ');
  },
  map: ({ body }) => `New version of the map${text(body.sha256) && `, ${text(body.sha256).slice(0, 12)}`}`,
};

/** What was done, and the word between it and its place. */
const ACTIONS: Readonly<Record<string, readonly [string, string]>> = {
  placed: ['Control placed', ' at'],
  'pump-out': ['Pumped out', ''],
  'packs-changed': ['Packs changed', ' in'],
  swept: ['Swept', ''],
  'debris-removed': ['Debris taken out', ' of'],
  'kit-checked': ['Kit checked', ':'],
  training: ['Training', ' at'],
  drill: ['Drill', ' at'],
};

/** "9 mm of oil, 21 L; packs in place": what a visit saw; of the rest only what was not as it should be. */
function seenInVisit(body: Body, units: Units): string {
  const condition = conditionOf({ body }) ?? {};
  const { sludgeMm, packs, sorbent, packsRide, debris, plates, concrete, sheenAtOutlet } = condition;
  const oil = oilIn(condition);
  const parts: [string, boolean][] = [
    [oil ? `${thicknessWords(oil.litres / oil.areaM2, units)} of oil, ${formatVolume(oil.litres, units)}` : '', true],
    [isSeen(body.seen) ? seenInList(body.seen) : '', !oil],
    [`${thicknessWords(sludgeMm ?? 0, units)} of sediment`, sludgeMm !== undefined],
    [`packs ${packs && PACKS[packs]}`, packs !== undefined],
    [`packs ${sorbent}`, sorbent === 'used' || sorbent === 'soaked'],
    ['packs ride deep', packsRide === 'deep'],
    ['floating debris', debris === true],
    [`plates ${plates}`, plates !== undefined && plates !== 'sound' && plates !== 'none'],
    ['concrete cracked', concrete === 'cracked'],
    ['a sheen at the outlet', sheenAtOutlet === true],
  ];
  return parts
    .filter(([words, isTrue]) => isTrue && words !== '')
    .map(([words]) => words)
    .join('; ');
}

function amountWords(amount: unknown, units: Units): string {
  if (typeof amount !== 'object' || amount === null) return '';
  const { litres, thicknessMm, areaM2, socks } = amount as Body;
  const [volume, thickness, area, sockCount] = [litres, thicknessMm, areaM2, socks].map(number);
  if (volume !== null) return formatVolume(volume, units);
  if (thickness !== null) {
    const held = area === null ? '' : `, ${formatVolume(thickness * area, units)}`;
    return `${thicknessWords(thickness, units)}${held}`;
  }
  return sockCount === null ? '' : `${sockCount} socks full`;
}

const pointWords = (point: unknown) =>
  Array.isArray(point) && point.length >= 2 && point.every((each) => number(each) !== null)
    ? `the point ${point.slice(0, 2).join(', ')}`
    : '';

const fluidWords = (fluid: unknown) =>
  text(fluid) === '' ? 'oil' : fluid === 'other' ? 'another fluid' : text(fluid).replaceAll('-', ' ');

const labelled = (label: string, value: unknown) => {
  const words = value === true ? 'yes' : plain(value);
  return words && `${label} ${words}`;
};

const number = (value: unknown) => (typeof value === 'number' && Number.isFinite(value) ? value : null);
const DAY = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'long', year: 'numeric', timeZone: 'UTC' });
/** The day in a date, or a date and time, as it is written: "8 May 2026". */
function day(value: unknown): string {
  const ms = Date.parse(text(value).slice(0, 10));
  return Number.isNaN(ms) ? 'a day not named' : DAY.format(ms);
}

/** A text in one line; empty for a value that is not a text. */
const text = (value: unknown) => (typeof value === 'string' ? value.replace(/[\s\p{Cc}\p{Cf}]+/gu, ' ').trim() : '');

/** Texts and numbers of a value of any shape: "oil and grease 4.2 mg/L, pH 7.1". What is nested deeper than a list of objects is left out. */
function plain(value: unknown, depth = 0): string {
  if (typeof value === 'number') return String(value);
  if (typeof value === 'string') return text(value);
  if (typeof value !== 'object' || value === null || depth > 2) return '';
  const parts = Array.isArray(value)
    ? value.slice(0, MOST_PARTS).map((each) => plain(each, depth + 1))
    : inReadingOrder(value)
        .slice(0, MOST_PARTS)
        .map(([key, each]) => keyed(key, plain(each, depth + 1)));
  return parts.filter((part) => part !== '').join(depth === 0 || Array.isArray(value) ? ', ' : ' ');
}

/** Keys that only say what kind of thing their value is, in the order in which the values are said. */
const SILENT_KEYS: readonly string[] = ['name', 'what', 'parameter', 'analyte', 'value', 'result', 'unit', 'units'];
const isSilent = (key: string) => SILENT_KEYS.includes(key);
const inReadingOrder = (value: object): [string, unknown][] => {
  const entries = Object.entries(value);
  return [
    ...SILENT_KEYS.flatMap((key) => entries.filter(([each]) => each === key)),
    ...entries.filter(([key]) => !isSilent(key)),
  ];
};
const keyed = (key: string, words: string) => (words === '' || isSilent(key) ? words : `${text(key)} ${words}`);

const cut = (words: string) => {
  const letters = [...words];
  return letters.length <= MOST_LETTERS
    ? words
    : `${letters
        .slice(0, MOST_LETTERS - 1)
        .join('')
        .trimEnd()}…`;
};

/** Which of an entry's steps speak, as one sentence; empty where nothing is to be done. */
export const stepsSentence = (steps: readonly Step[]): string =>
  listWords(joinedSteps(steps).map(({ say }, at) => (at === 0 ? say : lowerFirst(say)).replace(/\.$/, '')));
const lowerFirst = (words: string) => words.charAt(0).toLowerCase() + words.slice(1);
