import type { Voice } from '../../src/catalogue/index.ts';
import { ACTIONS } from '../../src/log-book/bodies.ts';
import { keptEntry } from '../../src/log-book/index.ts';
import { CONTROLS, type Control, FLUIDS } from '../../src/site-map/index.ts';
import { type FindingSource, SEEN } from '../../src/sources/index.ts';
import type { Condition, SeparatorUpkeep } from '../../src/upkeep/index.ts';
import * as words from '../../src/words/index.ts';
import { idOf, madeEntry } from '../log-book/made.ts';

/** Every function of the room, called so that each of its sentences is said once: by the name of what says them. */

type Answer<F> = F extends (answer: infer A, ...rest: never[]) => unknown ? A : never;

/** Ids and names in the sentences; nothing of the catalogue is among them. */
export const NAMES = [
  'CB-1',
  'CB-2',
  'MH-1',
  'MH-2',
  'OUT-1',
  'SEP-1',
  'Z1',
  'Z2',
  'Zed',
  'P-1',
  'Q-7',
  'US',
  'spill-pump',
  'J. O',
  'M. L',
];

const nameOf = (id: string) => (id === 'Z1' ? 'Zed' : id);
const kindOf: words.KindOf = (id) => (id.startsWith('CB') ? 'catch-basin' : 'manhole');

export const control = (at: string, which: Control = 'cover', more = {}) => ({
  control: which,
  at,
  kit: null,
  oilMinutes: 4.6,
  crewMinutes: 1.2,
  ...more,
});

const MINUTES = [0, 0.4, 4.6, 300];

const blocks = (voice: Voice): string[] => [
  words.controlOrders(
    CONTROLS.map((each) => control('CB-1', each)),
    nameOf,
    voice,
  ),
  ...CONTROLS.flatMap((each) => [
    words.controlOrder(control('CB-1', each), voice),
    words.orderWithin(control('CB-1', each), voice),
  ]),
];

type Plan = Parameters<typeof words.planTelling>[0];
const LITRES = { released: 60, kept: 50, held: 1, onGround: 2, toWater: 0, toPublicDrain: 0, moving: 0 };
const POSED = {
  ...{ litres: 60, overMinutes: 10, overFrom: 'said', isStill: false, rainMmPerH: 0, agoMinutes: 0 },
  ...{ fluid: 'diesel', fluidFrom: 'said', mayBeGasoline: false },
} as const satisfies Plan['spill'];
export const step = (at: string, which: Control = 'cover', more: Partial<Plan['plan']['controls'][number]> = {}) => ({
  ...{ at, control: which, cost: 40, oilMinutes: 4.6, crewMinutes: 1.2, kit: null, hand: 'here', keepsLitres: 50 },
  ...{ needs: null, minutes: 2, isDefaultTime: true },
  ...more,
});
/** An answer of `block`; parts of its plan and of its spill stand beside the rest. */
export const planned = (
  plan: Partial<Plan['plan']> = {},
  { spill = {}, ...more }: Partial<Omit<Plan, 'spill'>> & { spill?: Partial<Plan['spill']> } = {},
): Plan => ({
  ...{
    zone: 'Z1',
    inlets: ['CB-1'],
    fluid: 'diesel',
    state: 'running',
    doNothingCost: 61_234,
    isTimed: true,
    marginMinutes: 2,
  },
  ...{ singles: [], hands: [], backingUp: [], advice: [], cautions: [], whilePlacing: [], assumed: [] },
  doNothing: { cost: 61_234, litres: { ...LITRES, kept: 0, toWater: 40 }, pastGrates: 58, waters: ['OUT-1'] },
  spill: { ...POSED, ...spill },
  plan: {
    ...{ controls: [step('CB-1')], why: null, controlCost: 40, cleanupCost: 400, totalCost: 440, pastGrates: 8 },
    ...{ costRange: { low: 150, high: 1320 }, litres: LITRES, fouled: [], waters: [] },
    gap: { toWater: 0, toPublicDrain: 0, pastGrates: 0, money: 0 },
    ...plan,
  },
  ...more,
});

const building = {
  type: 'Feature' as const,
  id: 'B-1',
  properties: { kind: 'building' as const },
  geometry: { type: 'LineString' as const, coordinates: [] },
};
const places: words.Places = { nameOf, kindOf, others: [building] };
const plans = (voice: Voice): string[] => {
  const why = { told: 'answers.call-now' } as const;
  const gap = { toWater: 0, toPublicDrain: 0, pastGrates: 0, money: 0 };
  const back = { at: 'MH-1', floods: 'CB-1', from: 'levels' } as const;
  const answers = [
    planned({ controls: CONTROLS.map((each) => step('CB-1', each, { kit: 'Q-7' })) }),
    ...MINUTES.flatMap((oilMinutes) => [
      planned({
        controls: [
          step('CB-1', 'cover', { oilMinutes, crewMinutes: 0 }),
          step('MH-1', 'plug', { oilMinutes, crewMinutes: 400, hand: 'J. O' }),
        ],
      }),
    ]),
    planned({ controls: [step('CB-1', 'cover', { hand: null, crewMinutes: null })] }, { isTimed: false }),
    planned({ waters: ['OUT-1'], pastGrates: 58, gap: { ...gap, toWater: 3 } }),
    planned({ controls: [step('CB-1', 'cover', { keepsLitres: 0 })], costRange: { low: 3, high: 3 } }),
    planned({ gap: { ...gap, money: 300 } }, { zone: null, spill: { isStill: true, overFrom: 'assumed' } }),
    planned({}, { spill: { fluidFrom: 'assumed', overFrom: 'assumed' } }),
    planned({ controls: [], why }, { state: 'hand-over', inlets: [], spill: { fluid: null, mayBeGasoline: true } }),
    planned({ controls: [], why }, { state: 'hand-over', inlets: [], doNothingCost: 0 }),
    planned({ controls: [], why }, { state: 'held' }),
    planned(
      {},
      {
        backingUp: [
          ...MINUTES.map((each) => ({ ...back, minutes: each })),
          { ...back, minutes: 9, from: 'pipes' },
          { ...back, minutes: null, floods: null },
        ],
      },
    ),
  ];
  return answers.flatMap((answer) => {
    const { steps, columns, ...rest } = words.planTelling(answer, places, voice);
    const said = steps.flatMap(({ before, who, order, sentence, when, keeps }) => [
      ...before,
      who ?? '',
      order,
      sentence,
      when ?? '',
      keeps,
    ]);
    return [
      ...said,
      ...columns.map(({ title }) => title),
      ...Object.values(rest).flatMap((each) => each ?? []),
      ...words.briefOf(answer, places, voice),
      words.litresSentence({ litres: { ...LITRES, toWater: 3, toPublicDrain: 2, moving: 1 } }, voice),
    ];
  });
};

const kits = (voice: Voice): string[] => {
  const one = { spot: 'Z1', at: [0, 0], meanWithout: null };
  const plan = (more: object) =>
    ({ kits: [one], meanMinutes: 1.24, worstMinutes: 3, gap: 0, beyond: [], spots: 1, ...more }) as unknown as Answer<
      typeof words.kitsSentences
    >;
  const two = plan({ kits: [one, { spot: null, at: [1, 2] }], gap: 0.031, beyond: Array(14).fill('Z2'), spots: 9 });
  const kit = (meanWithout: number | null) => ({ meanWithout }) as unknown as Answer<typeof words.whyHereSentence>;
  return [
    ...words.kitsSentences(plan({}), undefined, nameOf, voice),
    ...words.kitsSentences(plan({}), 2, nameOf, voice),
    ...words.kitsSentences(two, 2, nameOf, voice),
    ...[[], ['Z1'], ['Z1', 'Z2']].map((places) => words.newKitsSentence(places, voice)),
    ...[null, 1.24, 5].map((without) => words.whyHereSentence(kit(without), 1.24, voice)),
    words.contentsWords({ sorbentLitres: 90, covers: 1, plugs: 2, booms: 1 }, voice),
    ...words.kitsAssumptions(plan({}), true, voice),
    ...words.kitsAssumptions(two, false, voice),
  ];
};

const measures = (voice: Voice): string[] => {
  const plan = (more: object) =>
    ({ chosen: [1], cost: 5, litresPerYear: 3, nowLitresPerYear: 8, gap: 0, ...more }) as unknown as Answer<
      typeof words.measuresSentences
    >;
  return [
    ...[plan({}), plan({ chosen: [] }), plan({ nowLitresPerYear: 0, gap: 0.02 })].flatMap((each) =>
      words.measuresSentences(each, 10, voice),
    ),
    ...['sweeping', 'drip-pans', 'hose-checks', 'roof', 'low-wall', 'insert', 'shut-off-valve', 'Q-7'].map((each) =>
      words.measureName(each, voice),
    ),
    ...words.measuresAssumptions(voice),
  ];
};

const minutes = (voice: Voice): string[] => [
  ...[null, ...MINUTES].flatMap((each) => [
    words.shortMinutes(each, voice),
    words.ringMinutes(each, false, voice),
    words.ringMinutes(each, true, voice),
  ]),
  ...MINUTES.flatMap((each) => [
    words.takesMinutes(each, voice),
    words.leftMinutes(each, voice),
    words.walkWords(each, voice),
  ]),
  words.walkWords(Infinity, voice),
  words.walkMinutes(1.24, voice),
];

const days = (voice: Voice): string[] => [
  ...['2026-05-30', '2026-06-11', '2026-05-27'].map((due) => words.dueWords(due, '2026-05-30', voice)),
];

type Sources = Parameters<typeof words.sourcesSentence>[0];
const zone = (more = {}) => ({ id: 'Z1', share: 0.62, low: 0.45, high: 0.78, main: 0.8, why: [], ...more });
export const sources = (more: object = {}): Sources =>
  ({
    at: 'MH-1',
    zones: [zone()],
    unmapped: { share: 0.1, low: 0, high: 0.2, main: 0.1 },
    groups: [['Z1', 'Z2']],
    ruledOut: [],
    nextLids: [],
    lidPlan: null,
    isOily: true,
    method: 'draws',
    effectiveDraws: 900,
    isSure: true,
    release: { litres: 9, low: 2, high: 30, given: false },
    ...more,
  }) as unknown as Sources;

const lid = (at: string, ifOil: object | null = null, ifClean: object | null = null) => ({
  at,
  bits: 0.9,
  chanceOfOil: 0.4,
  minutes: null,
  ifOil,
  ifClean,
});
const LID_PLANS = [
  lid('MH-1', lid('CB-1', lid('MH-2'), lid('CB-2')), lid('CB-2', lid('MH-2'), lid('MH-2'))),
  lid('MH-1', lid('CB-1', lid('MH-2')), lid('CB-2', null, lid('MH-2'))),
  lid('MH-1', lid('CB-1', null, lid('MH-2')), lid('CB-2', lid('MH-2'))),
  lid('MH-1', lid('CB-1'), null),
  lid('MH-1', null, lid('CB-1', lid('MH-2'), lid('CB-2'))),
];

const where = (voice: Voice): string[] => {
  const wide = zone({ low: 0.01, high: 0.99 });
  const answers = [
    sources(),
    sources({ isOily: false }),
    sources({ isOily: false, at: null }),
    sources({ zones: [] }),
    sources({ zones: [wide] }),
    sources({ zones: [zone({ main: 0.2 })] }),
    sources({ zones: [{ ...wide, main: 0.2 }] }),
  ];
  const lids = [0.9, 0.5, 0.1].flatMap((bits) =>
    [null, 0, 3.2].map((walk) => sources({ nextLids: [{ ...lid('CB-1'), bits, minutes: walk }] })),
  );
  const raised = { finding: 'CB-2', times: 3.1 };
  const lowered = { finding: 'MH-1', times: 0.5 };
  const whys = [[raised], [lowered], [raised, lowered]].map(
    (why) => zone({ why }) as unknown as Answer<typeof words.whySentence>,
  );
  const ruledOut = ['Z1', 'Z2'].map((id) => ({ id, finding: 'CB-1', windowMinutes: 50, minutes: 70 }));
  return [
    ...answers.map((each) => words.sourcesSentence(each, nameOf, voice)),
    ...[...lids, sources({ nextLids: [{ ...lid('MH-2'), minutes: Infinity }] })].flatMap((each) => [
      words.nextLidSentence(each, kindOf, voice) ?? '',
      ...Object.values(words.nextLidWords(each, kindOf, voice) ?? {}).flat(),
    ]),
    ...LID_PLANS.flatMap((lidPlan) => words.lidPlanSentences(sources({ lidPlan }), kindOf, voice)),
    ...[{}, { isSure: false }, { method: 'exact' }].map((more) => words.howSureSentence(sources(more), voice)),
    ...[true, false].map((given) =>
      words.releaseSentence(sources({ release: { litres: 9, low: 2, high: 30, given } }), voice),
    ),
    ...whys.flatMap((each) =>
      ['Zed', undefined].map((named) => words.whySentence(each, { lookOf: (id) => id, zone: named }, voice) ?? ''),
    ),
    ...words.groupSentences(sources(), nameOf, voice),
    ...words.ruledOutSentences(sources({ ruledOut }), nameOf, voice),
    ...words.assumedSentences(sources(), voice),
    words.rangeWords({ share: 0.5, low: 0.4, high: 0.6, main: 0.5 }, voice),
  ];
};

const spills = (voice: Voice): string[] => {
  const spill = (more: object) =>
    ({
      inlets: ['CB-1'],
      fluid: 'motor-oil',
      arrivals: [],
      outfalls: [],
      ways: [{ id: 'P-1', isSurcharged: true }],
      defaults: { diameter: ['P-1'], slope: Array(7).fill('P-1'), flat: ['P-1'] },
      ...more,
    }) as unknown as Answer<typeof words.spillSentences>;
  const arrive = (at: number[]) => at.map((minutes) => ({ id: 'MH-1', minutes }));
  const answers = [
    spill({ inlets: [] }),
    ...MINUTES.slice(1).flatMap((each) => [
      spill({ arrivals: arrive([each]) }),
      spill({ arrivals: arrive([0, each]) }),
    ]),
    spill({
      outfalls: MINUTES.flatMap((minutes) =>
        [true, false].map((pastSeparator) => ({ id: 'OUT-1', minutes, pastSeparator })),
      ),
    }),
  ];
  return [
    ...answers.flatMap((each) => words.spillSentences(each, nameOf, voice)),
    ...[true, false].flatMap((isRain) => words.spillAssumptions(spill({}), { isRain, isThick: true }, voice)),
  ];
};

export const separator = (more: object = {}): SeparatorUpkeep & { due: string } =>
  ({
    id: 'SEP-1',
    readAt: '2026-05-30T10:00:00-06:00',
    emptiedAt: null,
    oilMm: 9,
    oilLitres: 20.8,
    sludgeMm: 40,
    state: 'fine',
    reasons: [{ told: 'upkeep.reason-oil' }],
    nextVisitDays: 30,
    packDays: 12,
    limitDays: 40,
    hasForecast: true,
    readings: 3,
    limitChanceByDays: [{ days: 30, chance: 0.2 }],
    flowLps: 2,
    smallestCaughtUm: 63,
    isTooFast: false,
    due: '2026-06-20',
    ...more,
  }) as unknown as SeparatorUpkeep & { due: string };

const full = (voice: Voice): string[] => {
  const separators = [
    {},
    { oilMm: null, sludgeMm: null, state: 'watch', hasForecast: false, limitDays: null },
    { state: 'pump-out', hasForecast: false },
    { oilLitres: null, state: 'watch' },
    { oilLitres: null, due: '2026-01-01' },
    { emptiedAt: '2026-06-01', due: '2026-01-01' },
    { limitDays: null },
  ].map(separator);
  const through = [
    separator(),
    separator({ flowLps: 0 }),
    separator({ smallestCaughtUm: Infinity }),
    separator({ isTooFast: true }),
  ];
  const contacts = [
    { role: 'spill-pump', phone: '1' },
    { role: 'spill-pump', name: 'Zed', phone: '1' },
  ];
  return [
    ...separators.flatMap((each) => words.upkeepSentences(each, 'SEP-1', voice)),
    ...separators.flatMap((each) => words.fullSentences(each, { name: 'SEP-1', today: '2026-06-02' }, voice)),
    ...through.flatMap((each) =>
      [true, false].flatMap((hasPlates) =>
        [true, false].map((isDesignFlow) => words.throughWords(each, { hasPlates, isDesignFlow }, voice)),
      ),
    ),
    words.chanceWords(separator(), voice),
    ...contacts.map((each) => words.contractorWords([each], voice)),
    ...words.upkeepAssumptions(voice),
  ];
};

const looks = (voice: Voice): string[] =>
  [...SEEN.map((seen) => ({ seen })), { amount: {} }, { event: {} }].flatMap((look) => {
    const source = look as unknown as FindingSource;
    const seen = 'seen' in look ? [words.seenCell(look.seen, voice)] : [];
    return [
      ...seen,
      words.saidWords(source, voice),
      words.tagWords(source, voice),
      words.reasonWords(source, voice),
      words.lookWords(source, 'CB-1', voice),
    ];
  });

const CONDITIONS: Condition[] = [
  {
    chambers: [{ oilMm: 9, areaM2: 2 }],
    sludgeMm: 4,
    packs: 'in-place',
    sorbent: 'fresh',
    packsRide: 'high',
    debris: true,
    plates: 'sound',
    concrete: 'sound',
    sheenAtOutlet: true,
  },
  {
    chambers: [
      { name: 'Zed', oilMm: 9, areaM2: 2, sludgeMm: 3 },
      { oilMm: 1, areaM2: 2 },
    ],
    packs: 'adrift',
    sorbent: 'used',
    packsRide: 'deep',
    debris: false,
    plates: 'broken',
    concrete: 'cracked',
    sheenAtOutlet: false,
  },
  {
    chambers: (['inlet', 'grit', 'oil', 'media', 'outlet'] as const).map((role) => ({ id: role, role, oilMm: 2 })),
    packs: 'missing',
    sorbent: 'soaked',
    plates: 'deformed',
  },
  { plates: 'cracked' },
  { plates: 'none' },
];

const STEPS = [
  'pump-out-oil',
  'pump-out-sediment',
  'clean-outlet',
  'fish-out-packs',
  'change-packs',
  'put-packs-in',
  'more-packs',
  'take-out-debris',
  'watch-sediment',
  'replace-plates',
  'mend-concrete',
] as const;

const visits = (voice: Voice): string[] => [
  ...CONDITIONS.flatMap((each) => words.conditionWords(each, voice)).flatMap(({ label, value }) => [label, value]),
  ...words.joinedSteps(STEPS, voice).flatMap(({ say, why }) => [say, why]),
  voice.text(words.stepsTold(STEPS) ?? ''),
  ...words.visitCautions(voice),
  ...[null, 'M. L'].map((account) => words.writerWords({ by: 'J. O', account }, (name) => name, voice)),
];

const at = { at: 'SEP-1' };
const ENTRIES: [string, object][] = [
  ['visit', {}],
  ['visit', at],
  ['visit', { seen: 'oil' }],
  ...SEEN.map((seen): [string, object] => ['visit', { ...at, seen }]),
  ...CONDITIONS.map((condition): [string, object] => ['visit', { ...at, condition }]),
  ...SEEN.map((seen): [string, object] => ['finding', { ...at, seen }]),
  ...FLUIDS.map((fluid): [string, object] => ['finding', { ...at, event: { litres: 2 }, fluid }]),
  ['finding', { ...at, amount: { thicknessMm: 3, areaM2: 2 } }],
  ['finding', { ...at, amount: { litres: 4 } }],
  ['finding', { ...at, amount: { socks: 1 } }],
  ['spill', { zone: 'Z1', litres: 2, fluid: 'diesel', reachedWater: true, called: true, reference: 'Q-7' }],
  ['spill', { point: [1, 2], litres: 2, fluid: 'other', reachedWater: false, called: 'Zed' }],
  ['action', { action: 'not-placed', note: 'Q-7' }],
  ['action', { action: 'not-placed', ...at }],
  ...ACTIONS.flatMap((action): [string, object][] => [
    ['action', { action, litres: 3, note: 'Q-7' }],
    ['action', { action, ...at }],
    ['order', { action, to: 'Zed', due: '2026-06-03', why: 'Q-7' }],
    ['order', { action, ...at, to: 'Zed' }],
  ]),
  ['corrective', { due: '2026-06-03', note: 'Q-7' }],
  ['corrective', { due: '2026-06-03', closed: '2026-06-02', note: 'Q-7' }],
  ['sample', { ...at, results: [{ parameter: 'Q-7', value: 3 }] }],
  ['correction', { corrects: idOf(12), note: 'Q-7' }],
  ['correction', { corrects: idOf(13), note: 'Q-7' }],
  ['map', { sha256: '01'.repeat(32) }],
  ['investigation', { ...at, looks: [{ at: 'CB-1', done: true }] }],
  ['investigation', { ...at, continues: idOf(12) }],
  ...['found', 'outside', 'not-on-map', 'cannot-narrow', 'several'].map((state): [string, object] => [
    'investigation',
    { ...at, end: { state, zones: ['Z1'] } },
  ]),
  ['round', { stops: [{ at: 'CB-1', looked: true, well: false }] }],
  ['round', { name: 'Zed', stops: [{ at: 'CB-1', looked: true }] }],
  ['rain', { mm: 12, since: '2026-05-28', gauge: 'Q-7' }],
  [
    'assessment',
    {
      ...at,
      colour: 'Q-7',
      odour: false,
      clarity: true,
      floating: true,
      settled: true,
      suspended: true,
      foam: true,
      sheen: true,
    },
  ],
  ...(['dye', 'camera', 'smoke', 'look'] as const).map((by): [string, object] => [
    'link-test',
    { link: 'P-1', by, result: 'as-drawn' },
  ]),
  ...['not-there', 'other-way', 'elsewhere', 'unclear'].map((result): [string, object] => [
    'link-test',
    { link: 'P-1', by: 'dye', result, cameOutAt: 'CB-1' },
  ]),
  ['Q-7', { at: 'CB-1' }],
  ['', { at: 'CB-1' }],
];

const entries = (voice: Voice): string[] =>
  ENTRIES.flatMap(([kind, body]) => {
    const window = kind === 'finding' ? { since: '2026-03-01', seenAt: '2026-05-30' } : {};
    const entry = keptEntry({ ...madeEntry(1), kind, body: { ...window, ...body } });
    if (!entry) throw new Error(`no entry of ${kind}`);
    const named = (id: string) => (id === idOf(12) ? 'Q-7' : nameOf(id));
    return [words.entryWords(entry, named, voice), words.kindWord(entry, voice)];
  });

/** All that the room says, in a voice. */
export const everySentence = (voice: Voice): string[] =>
  [blocks, plans, kits, measures, minutes, days, where, spills, full, looks, visits, entries].flatMap((each) =>
    each(voice),
  );
