import type { Voice } from '../catalogue/index.ts';
import { type Action, type BodyOf, type Entry, noteOf } from '../log-book/index.ts';
import type { Fluid } from '../site-map/index.ts';
import { type Condition, oilIn, type Step } from '../upkeep/index.ts';
import { foundWords, seenInList } from './finding.ts';
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
export const stepWords = (step: Step, _voice: Voice): { say: string; why: string } => STEPS[step];

/** Steps that say the same are one, with both reasons. */
export function joinedSteps(steps: readonly Step[], voice: Voice): { say: string; why: string }[] {
  const whys = new Map<string, string[]>();
  for (const { say, why } of steps.map((step) => stepWords(step, voice)))
    whys.set(say, [...(whys.get(say) ?? []), why]);
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
export function conditionWords(condition: Condition, voice: Voice): ConditionLine[] {
  const { sludgeMm, packs, sorbent, packsRide, debris, plates, concrete, sheenAtOutlet } = condition;
  const lines: [string, string | undefined, Step[]][] = [
    ['Sediment', sludgeMm === undefined ? sludgeMm : thicknessWords(sludgeMm, voice), SEDIMENT_STEPS],
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
  return [...chamberLines(condition, voice), ...seen];
}

const OIL_STEPS: Step[] = ['pump-out-oil', 'more-packs'];
const SEDIMENT_STEPS: Step[] = ['pump-out-sediment', 'watch-sediment'];
const OUTLET_STEPS: Step[] = ['clean-outlet'];

/** What a chamber is called: by its name, else by what it is for or its id on the map. */
const chamberName = ({ name, role, id }: Chamber, at: number) => name ?? role ?? id ?? `chamber ${at + 1}`;
type Chamber = NonNullable<Condition['chambers']>[number];

/** A line for each chamber, and where there are several one for all of them, which is what the limit is for. */
function chamberLines(condition: Condition, voice: Voice): ConditionLine[] {
  const { chambers = [] } = condition;
  const oil = oilIn(condition);
  const oilValue = (oilMm: number, areaM2: number | undefined) =>
    thicknessWords(oilMm, voice) + (areaM2 === undefined ? '' : `, ${voice.text({ litres: oilMm * areaM2 })}`);
  const isAlone = chambers.length === 1;
  const lines = chambers.flatMap((chamber, at): ConditionLine[] => {
    const { oilMm, areaM2 } = chamber;
    if (oilMm === undefined) return [];
    const value = oilValue(oilMm, areaM2);
    return [
      isAlone
        ? { label: 'Oil', value, steps: OIL_STEPS }
        : { label: `Oil, ${chamberName(chamber, at)}`, value, steps: [] },
    ];
  });
  if (oil && !isAlone)
    lines.push({ label: 'Oil in all', value: oilValue(oil.litres / oil.areaM2, oil.areaM2), steps: OIL_STEPS });
  const sediment = chambers.flatMap((chamber, at): ConditionLine[] => {
    const { sludgeMm } = chamber;
    if (sludgeMm === undefined) return [];
    return [{ label: `Sediment, ${chamberName(chamber, at)}`, value: thicknessWords(sludgeMm, voice), steps: [] }];
  });
  return [...lines, ...sediment];
}

/** What a visit says beside what to do. */
export const visitCautions = (_voice: Voice): readonly string[] => [
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

/** The kind that an entry was written with, as a word. */
export const kindWord = (entry: Entry, _voice: Voice): string =>
  entry.kind === 'unfit' ? text(entry.body.kind) : entry.kind;

/**
 * What an entry of any kind says, in one line. `nameOf` gives the name of a place by its id, and of an earlier entry
 * ("entry 12") by its.
 */
export function entryWords(entry: Entry, nameOf: (id: string) => string, voice: Voice): string {
  // Whether its note stands in its words already.
  const saysNote = entry.kind === 'corrective' || entry.kind === 'correction';
  const parts = [saidBy(entry, nameOf, voice), saysNote ? '' : text(noteOf(entry))];
  return cut(parts.filter((part) => part !== '').join('. '));
}

type NameOf = (id: string) => string;

function saidBy(entry: Entry, nameOf: NameOf, voice: Voice): string {
  switch (entry.kind) {
    case 'visit': {
      const place = entry.body.at === undefined ? 'the yard' : nameOf(entry.body.at);
      const seen = seenInVisit(entry.body, voice);
      return seen === '' ? `Visited ${place}` : `Read ${place}: ${seen}`;
    }
    case 'finding':
      return findingWords(entry.body, nameOf, voice);
    case 'spill':
      return spillWords(entry.body, nameOf, voice);
    case 'action':
      return actionWords(entry.body, nameOf, voice);
    case 'corrective': {
      const { closed, due, note } = entry.body;
      return joined(
        ': ',
        closed === undefined ? `Work due by ${day(due, voice)}` : `Work closed on ${day(closed, voice)}`,
        text(note),
      );
    }
    case 'sample':
      return joined(': ', `Sample at ${nameOf(entry.body.at)}`, plain(entry.body.results));
    case 'correction': {
      const { corrects, note } = entry.body;
      const named = nameOf(corrects);
      return joined(': ', `Corrects ${named === corrects ? 'an earlier entry' : named}`, text(note));
    }
    case 'map':
      return `New version of the map, ${entry.body.sha256.slice(0, 12)}`;
    case 'investigation':
      return investigationWords(entry.body, nameOf);
    case 'round':
      return roundWords(entry.body);
    case 'rain': {
      const { mm, since, until = entry.at, gauge } = entry.body;
      return joined(
        ', ',
        `Rain of ${thicknessWords(mm, voice)} from ${day(since, voice)} to ${day(until, voice)}`,
        text(gauge),
      );
    }
    case 'assessment':
      return joined(': ', `Storm water looked at from ${nameOf(entry.body.at)}`, seenInWater(entry.body));
    case 'link-test': {
      const { link, by, result, cameOutAt } = entry.body;
      const where = cameOutAt === undefined ? '' : `it came out at ${nameOf(cameOutAt)}`;
      return joined('; ', `Tested ${nameOf(link)} ${TESTED_BY[by]}: ${TEST_RESULTS[result]}`, where);
    }
    case 'order': {
      const { action, at, to, due, why } = entry.body;
      const what = joined(' ', ORDERED[action], at === undefined ? '' : `at ${nameOf(at)}`);
      return joined(
        '; ',
        `Ordered from ${text(to)}: ${what}${due === undefined ? '' : `, by ${day(due, voice)}`}`,
        text(why),
      );
    }
    case 'unfit':
      return joined(
        ': ',
        `${text(entry.body.kind) || 'Entry'}, not in a form that is known here`,
        plain(entry.body.body),
      );
    default:
      return entry satisfies never;
  }
}

const joined = (between: string, ...parts: string[]) => parts.filter((part) => part !== '').join(between);

function findingWords(body: BodyOf<'finding'>, nameOf: NameOf, voice: Voice): string {
  const [place, fluid] = [nameOf(body.at), fluidWords(body.fluid)];
  if (body.seen !== undefined) return foundWords(body.seen, { place, fluid }, voice);
  if (body.event) return `Saw ${voice.text({ litres: body.event.litres })} of ${fluid} released in ${place}`;
  const amount = amountWords(body.amount, voice);
  return amount === '' ? `Found ${fluid} in ${place}` : `Found ${amount} of ${fluid} in ${place}`;
}

function spillWords(
  { litres, fluid, zone, point, reachedWater, called, reference }: BodyOf<'spill'>,
  nameOf: NameOf,
  voice: Voice,
): string {
  const place = zone !== undefined ? nameOf(zone) : point ? `the point ${point.slice(0, 2).join(', ')}` : '';
  return joined(
    '; ',
    `Spill of ${voice.text({ litres })} of ${fluidWords(fluid)}${place && ` on ${place}`}`,
    reachedWater === undefined ? '' : reachedWater ? 'it reached water' : 'it reached no water',
    labelled('called', called),
    labelled('report number', reference),
  );
}

function actionWords({ action, at, litres }: BodyOf<'action'>, nameOf: NameOf, voice: Voice): string {
  const [what, how] = ACTION_WORDS[action];
  const volume = typeof litres === 'number' ? voice.text({ litres }) : text(litres ?? undefined);
  // What a truck takes is oil, water and sediment together.
  const out = volume && (action === 'pump-out' ? `, ${volume} taken out in all` : `, ${volume}`);
  return (at === undefined ? what : `${what}${how} ${nameOf(at)}`) + out;
}

function investigationWords({ at, continues, looks = [], end }: BodyOf<'investigation'>, nameOf: NameOf): string {
  const search = `Search for the source of the oil in ${nameOf(at)}`;
  if (end) return `${search} ended: ${joined(', ', ENDS[end.state], ...(end.zones ?? []).map(nameOf))}`;
  const done = looks.filter((look) => look.done).length;
  return joined(
    ', ',
    `${search} ${continues === undefined ? 'begun' : 'went on'}`,
    done > 0 ? `places looked at: ${done}` : '',
  );
}

function roundWords({ name, stops }: BodyOf<'round'>): string {
  const looked = stops.filter((stop) => stop.looked).length;
  const unwell = stops.filter((stop) => stop.well === false).length;
  const words = `Round${name === undefined ? '' : `, ${text(name)}`}: ${looked} of ${stops.length} stops looked at`;
  return joined(', ', words, unwell > 0 ? `${unwell} not well` : '');
}

/** What was seen in a glass of storm water; what nobody said is left out. */
function seenInWater(body: BodyOf<'assessment'>): string {
  const { colour, odour, clarity, floating, settled, suspended, foam, sheen } = body;
  const seen = {
    colour,
    odour,
    clarity,
    'floating solids': floating,
    'settled solids': settled,
    'suspended solids': suspended,
    foam,
    sheen,
  };
  const words = Object.entries(seen).map(([label, value]) =>
    value === undefined ? '' : typeof value === 'string' ? `${label} ${text(value)}` : value ? label : `no ${label}`,
  );
  return joined('; ', ...words);
}

const ENDS: Readonly<Record<NonNullable<BodyOf<'investigation'>['end']>['state'], string>> = {
  found: 'found',
  outside: 'it came from outside the yard',
  'not-on-map': 'its source is not on the map',
  'cannot-narrow': 'it cannot be narrowed down further',
  several: 'it has several sources',
};

const TESTED_BY: Readonly<Record<BodyOf<'link-test'>['by'], string>> = {
  dye: 'with dye',
  camera: 'by camera',
  smoke: 'with smoke',
  look: 'by eye',
};

const TEST_RESULTS: Readonly<Record<BodyOf<'link-test'>['result'], string>> = {
  'as-drawn': 'it runs as it is drawn',
  'not-there': 'it is not there',
  'other-way': 'it runs the other way',
  elsewhere: 'it runs elsewhere',
  unclear: 'it does not show',
};

/** What was done, and the word between it and its place. */
const ACTION_WORDS: Readonly<Record<Action, readonly [string, string]>> = {
  placed: ['Control placed', ' at'],
  'pump-out': ['Pumped out', ''],
  'packs-changed': ['Packs changed', ' in'],
  swept: ['Swept', ''],
  'debris-removed': ['Debris taken out', ' of'],
  'kit-checked': ['Kit checked', ':'],
  training: ['Training', ' at'],
  drill: ['Drill', ' at'],
};

/** What is ordered. */
const ORDERED: Readonly<Record<Action, string>> = {
  placed: 'a control',
  'pump-out': 'a pump-out',
  'packs-changed': 'new packs',
  swept: 'sweeping',
  'debris-removed': 'taking debris out',
  'kit-checked': 'a check of the kit',
  training: 'training',
  drill: 'a drill',
};

/** "9 mm of oil, 21 L; packs in place": what a visit saw; of the rest only what was not as it should be. */
function seenInVisit({ seen, condition = {} }: BodyOf<'visit'>, voice: Voice): string {
  const { sludgeMm, packs, sorbent, packsRide, debris, plates, concrete, sheenAtOutlet } = condition;
  const oil = oilIn(condition);
  const { chambers = [] } = condition;
  const inChambers = (what: string, thicknessOf: (chamber: Chamber) => number | undefined) =>
    chambers.flatMap((chamber, at): [string, boolean][] => {
      const mm = thicknessOf(chamber);
      return mm === undefined ? [] : [[`${thicknessWords(mm, voice)} of ${what} in ${chamberName(chamber, at)}`, true]];
    });
  const parts: [string, boolean][] = [
    ...(oil ? [] : inChambers('oil', (chamber) => chamber.oilMm)),
    [
      oil ? `${thicknessWords(oil.litres / oil.areaM2, voice)} of oil, ${voice.text({ litres: oil.litres })}` : '',
      true,
    ],
    [seen === undefined ? '' : seenInList(seen, voice), !oil],
    [`${thicknessWords(sludgeMm ?? 0, voice)} of sediment`, sludgeMm !== undefined],
    ...inChambers('sediment', (chamber) => chamber.sludgeMm),
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

function amountWords(amount: BodyOf<'finding'>['amount'], voice: Voice): string {
  if (amount?.litres !== undefined) return voice.text({ litres: amount.litres });
  if (amount?.thicknessMm !== undefined) {
    const { thicknessMm, areaM2 } = amount;
    return `${thicknessWords(thicknessMm, voice)}, ${voice.text({ litres: thicknessMm * areaM2 })}`;
  }
  return amount?.socks === undefined ? '' : `${amount.socks} socks full`;
}

const fluidWords = (fluid: Fluid | undefined) =>
  fluid === undefined ? 'oil' : fluid === 'other' ? 'another fluid' : fluid.replaceAll('-', ' ');

const labelled = (label: string, value: unknown) => {
  const words = value === true ? 'yes' : plain(value);
  return words && `${label} ${words}`;
};

/** The day in a date, or a date and time, as it is written: "May 8, 2026". */
const day = (value: string, voice: Voice): string =>
  Number.isNaN(Date.parse(value.slice(0, 10))) ? 'a day not named' : voice.text({ day: value });

/** A text in one line. */
const text = (value = '') => value.replace(/[\s\p{Cc}\p{Cf}]+/gu, ' ').trim();

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
export const stepsSentence = (steps: readonly Step[], voice: Voice): string =>
  voice.list(joinedSteps(steps, voice).map(({ say }, at) => (at === 0 ? say : lowerFirst(say)).replace(/\.$/, '')));
const lowerFirst = (words: string) => words.charAt(0).toLowerCase() + words.slice(1);
