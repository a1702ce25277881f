import { type Told, told, type Voice } from '../catalogue/index.ts';
import { type BodyOf, type Entry, noteOf } from '../log-book/index.ts';
import type { Fluid } from '../site-map/index.ts';
import { type Condition, oilIn, type Step } from '../upkeep/index.ts';
import { foundWords, seenInList } from './finding.ts';

/** Words for what visits see, for what follows from it, and for entries of the log book: on the web and on paper. */

/** What is full is pumped out, whatever it is full of. */
const doTold = (step: Step): Told =>
  step === 'pump-out-oil' || step === 'pump-out-sediment' ? told('visits.do-pump-out') : told(`visits.do-${step}`);

/** What to do, and why. */
export const stepWords = (step: Step, voice: Voice): { say: string; why: string } => ({
  say: voice.tell(doTold(step)),
  why: voice.say(`visits.why-${step}`),
});

/** Steps that say the same are one, with both reasons. */
export function joinedSteps(steps: readonly Step[], voice: Voice): { say: string; why: string }[] {
  const whys = new Map<string, string[]>();
  for (const { say, why } of steps.map((step) => stepWords(step, voice)))
    whys.set(say, [...(whys.get(say) ?? []), why]);
  return [...whys].map(([say, why]) => ({ say, why: why.join(' ') }));
}

/** What to do, a sentence for each step, to be said later; null where nothing is to be done. */
export function stepsTold(steps: readonly Step[]): Told | null {
  const each = new Map(steps.map(doTold).map((sentence) => [sentence.told, sentence]));
  return [...each.values()].reduce<Told | null>(
    (before, after) => (before ? told('visits.sentences', { before, after }) : after),
    null,
  );
}

export interface ConditionLine {
  /** What it is of: the oil of one chamber of several, or of all of them; else null. */
  of: 'chamber' | 'all' | null;
  label: string;
  value: string;
  /** The steps that what was seen here can lead to. */
  steps: readonly Step[];
}

/** Everything that was looked at, in the order of the visit; what was not looked at is left out. */
export function conditionWords(condition: Condition, voice: Voice): ConditionLine[] {
  const { sludgeMm, packs, sorbent, packsRide, debris, plates, concrete, sheenAtOutlet } = condition;
  const { say } = voice;
  const lines: [string, string | undefined, Step[]][] = [
    [say('visits.sediment'), sludgeMm === undefined ? sludgeMm : thickness(sludgeMm, voice), SEDIMENT_STEPS],
    [say('visits.packs'), packs && say(`visits.packs-${packs}`), ['fish-out-packs', 'put-packs-in']],
    [say('visits.sorbent'), sorbent && say(`visits.sorbent-${sorbent}`), ['change-packs']],
    [say('visits.ride'), packsRide && say(`visits.ride-${packsRide}`), ['change-packs']],
    [
      say('visits.debris'),
      debris === undefined ? debris : say(debris ? 'visits.debris-some' : 'visits.debris-none'),
      ['take-out-debris'],
    ],
    [say('visits.plates'), plates && say(`visits.plates-${plates}`), ['replace-plates']],
    [say('visits.concrete'), concrete && say(`visits.concrete-${concrete}`), ['mend-concrete']],
    [
      say('visits.outlet'),
      sheenAtOutlet === undefined ? sheenAtOutlet : say(sheenAtOutlet ? 'visits.outlet-sheen' : 'visits.outlet-clear'),
      OUTLET_STEPS,
    ],
  ];
  const seen = lines.flatMap(([label, value, steps]): ConditionLine[] =>
    value === undefined ? [] : [{ of: null, label, value, steps }],
  );
  return [...chamberLines(condition, voice), ...seen];
}

const thickness = (millimetres: number, voice: Voice) => voice.text({ millimetres });

const OIL_STEPS: Step[] = ['pump-out-oil', 'more-packs'];
const SEDIMENT_STEPS: Step[] = ['pump-out-sediment', 'watch-sediment'];
const OUTLET_STEPS: Step[] = ['clean-outlet'];

type Chamber = NonNullable<Condition['chambers']>[number];

/** What a chamber is called: by its name, else by what it is for or its id on the map. */
const chamberName = ({ name, role, id }: Chamber, at: number, voice: Voice): string =>
  name ?? (role && voice.say(`things.chamber-${role}`)) ?? id ?? voice.say('visits.chamber', { number: at + 1 });

/** A line for each chamber, and where there are several one for all of them, which is what the limit is for. */
function chamberLines(condition: Condition, voice: Voice): ConditionLine[] {
  const { chambers = [] } = condition;
  const oil = oilIn(condition);
  const oilValue = (oilMm: number, areaM2: number | undefined) =>
    areaM2 === undefined
      ? thickness(oilMm, voice)
      : voice.say('visits.thickness-and-volume', {
          thickness: { millimetres: oilMm },
          litres: { litres: oilMm * areaM2 },
        });
  const isAlone = chambers.length === 1;
  const lines = chambers.flatMap((chamber, at): ConditionLine[] => {
    const { oilMm, areaM2 } = chamber;
    if (oilMm === undefined) return [];
    const value = oilValue(oilMm, areaM2);
    return isAlone
      ? [{ of: null, label: voice.say('visits.oil'), value, steps: OIL_STEPS }]
      : [
          {
            of: 'chamber',
            label: voice.say('visits.oil-in', { chamber: chamberName(chamber, at, voice) }),
            value,
            steps: [],
          },
        ];
  });
  if (oil && !isAlone) {
    const value = oilValue(oil.litres / oil.areaM2, oil.areaM2);
    lines.push({ of: 'all', label: voice.say('visits.oil-in-all'), value, steps: OIL_STEPS });
  }
  const sediment = chambers.flatMap((chamber, at): ConditionLine[] => {
    const { sludgeMm } = chamber;
    if (sludgeMm === undefined) return [];
    const label = voice.say('visits.sediment-in', { chamber: chamberName(chamber, at, voice) });
    return [{ of: null, label, value: thickness(sludgeMm, voice), steps: [] }];
  });
  return [...lines, ...sediment];
}

/** What a visit says beside what to do. */
export const visitCautions = ({ say }: Voice): string[] => [
  say('visits.care-vault'),
  say('spill.caution-lid-fuel'),
  say('visits.care-gloves'),
  say('visits.care-vapours'),
  say('visits.care-report'),
  say('visits.care-advice'),
];

/** Letters of a note that stand in one line; the log book has the rest. */
const MOST_LETTERS = 240;
/** Parts of a list that stand in one line. */
const MOST_PARTS = 12;

/** The kind that an entry was written with, as a word. */
export const kindWord = (entry: Entry, voice: Voice): string =>
  entry.kind === 'unfit' ? text(entry.body.kind) : voice.say(`things.entry-${entry.kind}`);

/**
 * What an entry of any kind says, in one line. `nameOf` gives the name of a place by its id, and of an earlier entry
 * ("entry 12") by its.
 */
export function entryWords(entry: Entry, nameOf: (id: string) => string, voice: Voice): string {
  // Whether its note stands in its words already.
  const saysNote = entry.kind === 'corrective' || entry.kind === 'correction';
  return cut(joined('visits.noted', [saidBy(entry, nameOf, voice), saysNote ? '' : text(noteOf(entry))], voice));
}

type NameOf = (id: string) => string;

/** Parts of a line in one, put together by the message of that name; those that say nothing are left out. */
const joined = (
  key: 'visits.then' | 'visits.and' | 'visits.says' | 'visits.noted',
  parts: readonly string[],
  voice: Voice,
): string =>
  parts.reduce(
    (before, after) => (after === '' ? before : before === '' ? after : voice.say(key, { before, after })),
    '',
  );

function saidBy(entry: Entry, nameOf: NameOf, voice: Voice): string {
  const { say } = voice;
  switch (entry.kind) {
    case 'visit':
      return visitWords(entry.body, nameOf, voice);
    case 'finding':
      return findingWords(entry.body, nameOf, voice);
    case 'spill':
      return spillWords(entry.body, nameOf, voice);
    case 'action':
      return actionWords(entry.body, nameOf, voice);
    case 'corrective': {
      const { closed, due, note } = entry.body;
      const work =
        closed === undefined
          ? say('visits.work-due', { day: { day: due } })
          : say('visits.work-closed', { day: { day: closed } });
      return joined('visits.says', [work, text(note)], voice);
    }
    case 'sample':
      return joined(
        'visits.says',
        [say('visits.sample', { place: nameOf(entry.body.at) }), plain(entry.body.results)],
        voice,
      );
    case 'correction': {
      const { corrects, note } = entry.body;
      const named = nameOf(corrects);
      const words = named === corrects ? say('visits.corrects-earlier') : say('visits.corrects', { entry: named });
      return joined('visits.says', [words, text(note)], voice);
    }
    case 'map':
      return say('visits.map', { hash: entry.body.sha256.slice(0, 12) });
    case 'investigation':
      return investigationWords(entry.body, nameOf, voice);
    case 'round':
      return roundWords(entry.body, voice);
    case 'rain': {
      const { mm, since, until = entry.at, gauge } = entry.body;
      const rain = { amount: { millimetres: mm }, since: { day: since }, until: { day: until } };
      return joined('visits.and', [say('visits.rain', rain), text(gauge)], voice);
    }
    case 'assessment': {
      const place = say('visits.assessment', { place: nameOf(entry.body.at) });
      return joined('visits.says', [place, seenInWater(entry.body, voice)], voice);
    }
    case 'link-test': {
      const { link, by, result, cameOutAt } = entry.body;
      const tested = say(`visits.tested-${by}`, { link: nameOf(link), result: say(`visits.result-${result}`) });
      const where = cameOutAt === undefined ? '' : say('visits.came-out-at', { place: nameOf(cameOutAt) });
      return joined('visits.then', [tested, where], voice);
    }
    case 'order':
      return orderWords(entry.body, nameOf, voice);
    case 'unfit': {
      const kind = text(entry.body.kind) || say('visits.entry');
      return joined('visits.says', [say('visits.not-known-form', { kind }), plain(entry.body.body)], voice);
    }
    default:
      return entry satisfies never;
  }
}

function visitWords(body: BodyOf<'visit'>, nameOf: NameOf, voice: Voice): string {
  const seen = seenInVisit(body, voice);
  if (body.at === undefined)
    return seen === '' ? voice.say('visits.visited-yard') : voice.say('visits.read-yard', { seen });
  const place = nameOf(body.at);
  return seen === '' ? voice.say('visits.visited', { place }) : voice.say('visits.read', { place, seen });
}

function findingWords(body: BodyOf<'finding'>, nameOf: NameOf, voice: Voice): string {
  const [place, fluid] = [nameOf(body.at), fluidWords(body.fluid, voice)];
  if (body.seen !== undefined) return foundWords(body.seen, { place, fluid }, voice);
  if (body.event) return voice.say('visits.found-release', { litres: { litres: body.event.litres }, fluid, place });
  const amount = amountWords(body.amount, voice);
  return amount === ''
    ? voice.say('visits.found-oil', { fluid, place })
    : voice.say('visits.found-amount', { amount, fluid, place });
}

function spillWords(
  { litres, fluid, zone, point = [], reachedWater, called, reference }: BodyOf<'spill'>,
  nameOf: NameOf,
  voice: Voice,
): string {
  const what = { litres: { litres }, fluid: fluidWords(fluid, voice) };
  const { say } = voice;
  const spill =
    zone !== undefined
      ? say('visits.spill-on', { ...what, place: nameOf(zone) })
      : say('visits.spill-at-point', { ...what, point: point.slice(0, 2).join(', ') });
  const whom = plain(called);
  const parts = [
    spill,
    reachedWater === undefined ? '' : say(reachedWater ? 'visits.reached-water' : 'visits.reached-no-water'),
    called === true ? say('visits.was-called') : whom && say('visits.called', { whom }),
    reference === undefined ? '' : say('visits.report-number', { reference: text(reference) }),
  ];
  return joined('visits.then', parts, voice);
}

function actionWords({ action, at, litres }: BodyOf<'action'>, nameOf: NameOf, voice: Voice): string {
  const what =
    at === undefined
      ? voice.say(`visits.done-${action}`)
      : voice.say(`visits.done-${action}-at`, { place: nameOf(at) });
  const volume = typeof litres === 'number' ? voice.text({ litres }) : text(litres ?? undefined);
  // What a truck takes is oil, water and sediment together.
  const out = volume && action === 'pump-out' ? voice.say('visits.taken-out', { volume }) : volume;
  return joined('visits.and', [what, out], voice);
}

function orderWords({ action, at, to, due, why }: BodyOf<'order'>, nameOf: NameOf, voice: Voice): string {
  const { say } = voice;
  const ordered = say(`visits.order-${action}`);
  const what = at === undefined ? ordered : say('visits.ordered-at', { what: ordered, place: nameOf(at) });
  const words =
    due === undefined
      ? say('visits.ordered', { to: text(to), what })
      : say('visits.ordered-by', { to: text(to), what, day: { day: due } });
  return joined('visits.then', [words, text(why)], voice);
}

function investigationWords(
  { at, continues, looks = [], end }: BodyOf<'investigation'>,
  nameOf: NameOf,
  voice: Voice,
): string {
  const place = nameOf(at);
  const { say } = voice;
  if (end) {
    const found = joined('visits.and', [say(`visits.end-${end.state}`), ...(end.zones ?? []).map(nameOf)], voice);
    return say('visits.search-ended', { place, end: found });
  }
  const count = looks.filter((look) => look.done).length;
  const search = say(continues === undefined ? 'visits.search-begun' : 'visits.search-went-on', { place });
  return joined('visits.and', [search, count > 0 ? say('visits.places-looked-at', { count }) : ''], voice);
}

function roundWords({ name, stops }: BodyOf<'round'>, voice: Voice): string {
  const looked = stops.filter((stop) => stop.looked).length;
  const count = stops.filter((stop) => stop.well === false).length;
  const total = stops.length;
  const words =
    name === undefined
      ? voice.say('visits.round', { looked, total })
      : voice.say('visits.round-named', { name: text(name), looked, total });
  return joined('visits.and', [words, count > 0 ? voice.say('visits.not-well', { count }) : ''], voice);
}

const IN_WATER = ['colour', 'odour', 'clarity', 'floating', 'settled', 'suspended', 'foam', 'sheen'] as const;

/** What was seen in a glass of storm water; what nobody said is left out. */
function seenInWater(body: BodyOf<'assessment'>, voice: Voice): string {
  const { say } = voice;
  const words = IN_WATER.map((each) => {
    const value = body[each];
    if (value === undefined) return '';
    const what = say(`visits.water-${each}`);
    if (typeof value === 'string') return say('visits.water-said', { what, value: text(value) });
    return value ? what : say('visits.water-without', { what });
  });
  return joined('visits.then', words, voice);
}

/** "9 mm of oil, 21 L; pillows in place": what a visit saw; of the rest only what was not as it should be. */
function seenInVisit({ seen, condition = {} }: BodyOf<'visit'>, voice: Voice): string {
  const { sludgeMm, packs, sorbent, packsRide, debris, plates, concrete, sheenAtOutlet, chambers = [] } = condition;
  const oil = oilIn(condition);
  const { say } = voice;
  const inChambers = (
    key: 'visits.saw-oil-in' | 'visits.saw-sediment-in',
    mmIn: (chamber: Chamber) => number | undefined,
  ) =>
    chambers.map((chamber, at) => {
      const millimetres = mmIn(chamber);
      if (millimetres === undefined) return '';
      return say(key, { thickness: { millimetres }, chamber: chamberName(chamber, at, voice) });
    });
  const parts = [
    ...(oil ? [] : inChambers('visits.saw-oil-in', (chamber) => chamber.oilMm)),
    oil
      ? say('visits.saw-oil', { thickness: { millimetres: oil.litres / oil.areaM2 }, litres: { litres: oil.litres } })
      : seen === undefined
        ? ''
        : seenInList(seen, voice),
    sludgeMm === undefined ? '' : say('visits.saw-sediment', { thickness: { millimetres: sludgeMm } }),
    ...inChambers('visits.saw-sediment-in', (chamber) => chamber.sludgeMm),
    packs === undefined ? '' : say(`visits.saw-packs-${packs}`),
    sorbent === undefined || sorbent === 'fresh' ? '' : say(`visits.saw-sorbent-${sorbent}`),
    packsRide === 'deep' ? say('visits.saw-ride-deep') : '',
    debris ? say('visits.saw-debris') : '',
    plates === undefined || plates === 'sound' || plates === 'none' ? '' : say(`visits.saw-plates-${plates}`),
    concrete === 'cracked' ? say('visits.saw-concrete-cracked') : '',
    sheenAtOutlet ? say('visits.saw-sheen-at-outlet') : '',
  ];
  return joined('visits.then', parts, voice);
}

function amountWords(amount: BodyOf<'finding'>['amount'], voice: Voice): string {
  if (amount?.litres !== undefined) return voice.text({ litres: amount.litres });
  if (amount?.thicknessMm !== undefined) {
    const { thicknessMm, areaM2 } = amount;
    return voice.say('visits.thickness-and-volume', {
      thickness: { millimetres: thicknessMm },
      litres: { litres: thicknessMm * areaM2 },
    });
  }
  return amount?.socks === undefined ? '' : voice.say('visits.socks', { count: amount.socks });
}

const fluidWords = (fluid: Fluid | undefined, voice: Voice) =>
  voice.say(fluid === undefined ? 'things.oil' : `things.fluid-${fluid}`);

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
