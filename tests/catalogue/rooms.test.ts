import loadHighs from 'highs';
import { beforeAll, describe, expect, test } from 'vitest';
import { type IntegerSolver, integerSolver } from '../../src/algorithms/index.ts';
import { findBlocks } from '../../src/block/index.ts';
import type { Text } from '../../src/catalogue/index.ts';
import { compileDrainage, type Drainage } from '../../src/drainage/index.ts';
import { findKits } from '../../src/kits/index.ts';
import {
  behindHead,
  type ChainHead,
  canonicalText,
  chainCheck,
  checkPeopleRecord,
  type Head,
  headsText,
  readEntry,
  readHeads,
  readSealedEntry,
  type StoredEntry,
  sealPeopleChange,
  unrecordedPeople,
} from '../../src/log-book/index.ts';
import { findMeasures } from '../../src/measures/index.ts';
import { CONTROLS, FLUIDS, type Problem } from '../../src/site-map/index.ts';
import { findSources, readFindings } from '../../src/sources/index.ts';
import {
  callsFor,
  FIRST_WORDS,
  farShutOff,
  findSpill,
  questionProblems,
  reportable,
  safetyFor,
} from '../../src/spill/index.ts';
import { findUpkeep } from '../../src/upkeep/index.ts';
import { chainOf, idOf, madeEntry, sha256, siteOf } from '../log-book/made.ts';
import { escaped, escapedFrom, unsaid } from '../support/told.ts';
import { type YardWords, yard } from '../support/yard.ts';

/**
 * What the rooms tell, provoked once each and said in a language that does not exist: nothing stands outside the catalogue but ids,
 * names and values.
 */

let solve: IntegerSolver;
beforeAll(async () => {
  solve = integerSolver(await loadHighs());
});

/** A zone without an edge. */
const EMPTY = { type: 'MultiPolygon' as const, coordinates: [] };

const escapedOf = (problems: readonly Problem[], source: string) => problems.flatMap((each) => escaped(each, source));

const LINE: YardWords = {
  zones: { 'Z-1': { drainsTo: 'CB-1' }, 'Z-2': { drainsTo: 'CB-2' } },
  structures: {
    'CB-1': { kind: 'catch-basin' },
    'CB-2': { kind: 'catch-basin', holds: 0 },
    'SEP-1': { kind: 'separator', lengthM: 4, widthM: 1.5, waterDepthM: 1.2, holds: 0.9 },
    'OUT-1': { kind: 'outfall' },
  },
  links: {
    'P-1': { from: 'CB-1', to: 'SEP-1' },
    'P-2': { from: 'CB-2', to: 'SEP-1' },
    'P-3': { from: 'SEP-1', to: 'OUT-1' },
  },
};
const line = yard(LINE);

describe('the sources of oil', () => {
  const window = { since: '2026-03-01', seenAt: '2026-05-30' };
  const look = { id: 'F-1', at: 'CB-1', ...window, seen: 'oil' };
  const litres = { litres: 5 };
  const FILE = [
    look,
    look,
    { at: 'CB-1', ...window, seen: 'oil' },
    { ...look, id: 'F-2', seen: undefined },
    { ...look, id: 'F-3', amount: litres },
    { ...look, id: 'F-4', seen: undefined, amount: { litres: 5, thicknessMm: 3, areaM2: 2 } },
    { ...look, id: 'F-5', seen: undefined, amount: {} },
    { ...look, id: 'F-6', since: 'in spring' },
    { ...look, id: 'F-7', since: '2026-05-30', seenAt: '2026-03-01' },
    { ...look, id: 'F-8', at: 'Z-1', seen: undefined, amount: litres },
    { ...look, id: 'F-9', at: 'CB-9' },
    { ...look, id: 'F-10', seen: undefined, event: litres },
    { ...look, id: 'F-11', at: 'CB-2', seen: undefined, amount: litres },
    { ...look, id: 'F-12', sheenAtOutlet: 'no', poke: 'hard' },
    { ...look, id: 'F-13', fluid: 'coolant' },
    { ...look, id: 'F-14', at: 'Z-1', seen: undefined, event: litres },
  ];
  const text = JSON.stringify({ format: 'oilshed-findings', version: 1, findings: FILE });
  const { findings, problems: read } = readFindings(text, line.map);
  const none = yard({ structures: { 'CB-1': { kind: 'catch-basin' } } });
  const nothing = { unmappedShare: 0 };
  const asked = [
    findSources(none, [], nothing),
    findSources(none, [], { ...nothing, at: 'CB-1' }),
    findSources(line, findings, { at: 'Z-1' }),
    findSources(line, findings, { at: 'CB-9', from: 'KIT-9' }),
    findSources(line, findings, { from: 'P-1' }),
    findSources(line, findings, { from: [40, -105] }),
    findSources(line, findings, {}),
  ].flatMap(({ problems }) => problems);
  const problems = [...read, ...readFindings('{}', line.map).problems, ...asked];

  test('tell nothing outside the catalogue, and every message of it', () => {
    expect(escapedOf(problems, `${text} smears breaks "seen" "Z-1" "CB-9" "KIT-9" "P-1"`)).toEqual([]);
    expect(unsaid(problems, ['sources'])).toEqual([]);
  });
});

const ROLES = ['report', 'drain', 'contractor', 'foreman'];
const CONTACTS = ROLES.map((role) => ({ role, phone: role }));
const FAR_STOP = {
  type: 'Feature' as const,
  id: '1',
  properties: { kind: 'fuel-stop' as const, stops: ['Z-1'] },
  geometry: { type: 'Point' as const, coordinates: [-105.1, 40.1] as [number, number] },
};

/** What plans tell: each reason for none, what is assumed, and what to see to. */
function planned(): Text[] {
  const valve = yard({
    zones: { 'Z-1': { drainsTo: 'CB-1', controls: [{ control: 'absorb' }] } },
    structures: {
      'CB-1': { kind: 'catch-basin', controls: [] },
      'V-1': { kind: 'valve', controls: [{ control: 'valve' }] },
      'OUT-1': { kind: 'outfall', controls: [] },
    },
    links: { 'P-1': { from: 'CB-1', to: 'V-1', lengthM: 900 }, 'P-2': { from: 'V-1', to: 'OUT-1' } },
  });
  const row = Array.from({ length: 30 }, (_, at) => `MH-${at}`);
  const many = yard({
    zones: { 'Z-1': { drainsTo: 'MH-0', controls: [] } },
    structures: {
      ...Object.fromEntries(row.map((id) => [id, { kind: 'manhole', controls: [{ control: 'boom', minutes: 0 }] }])),
      'OUT-1': { kind: 'outfall', controls: [] },
    },
    links: Object.fromEntries(row.map((from, at) => [`P-${at}`, { from, to: row[at + 1] ?? 'OUT-1', lengthM: 900 }])),
  });
  const here = { id: 'here', position: [-105, 40] as [number, number] };
  const zone = {
    place: { zone: 'Z-1' },
    litres: 100,
    overMinutes: 60,
    fluid: 'diesel' as const,
    hands: [here],
    rainMmPerH: 20,
  };
  const grate = { ...zone, place: { point: here.position } };
  const asked: [Drainage, Parameters<typeof findBlocks>[1]][] = [
    [valve, { ...zone, fluid: 'gasoline' }],
    [valve, { ...zone, place: { point: [-100, 40] } }],
    [valve, { ...zone, hands: [] }],
    [valve, grate],
    [valve, { ...grate, ruledOut: [{ at: 'V-1', control: 'valve' }] }],
    [valve, { ...grate, placed: [{ at: 'V-1', control: 'valve', minutes: 0 }], agoMinutes: 500 }],
    [valve, { ...zone, litres: 1, rainMmPerH: 0, hands: [{ ...here, startMinutes: 0 }] }],
    [many, { ...zone, overMinutes: 6000 }],
  ];
  return asked.flatMap(([drainage, question]) => {
    const { answer } = findBlocks(drainage, question);
    return answer ? [...(answer.plan.why ? [answer.plan.why] : []), ...answer.assumed, ...answer.whilePlacing] : [];
  });
}

describe('a spill and where to block it', () => {
  const near = line.map.structures[0].position;
  const asked = [
    findSpill(line, { place: { zone: 'Z-9' }, litres: 5 }),
    findSpill(line, { place: { point: [-104, 41] }, litres: 5 }),
    findSpill(line, { place: { point: [near[0] + 0.0001, near[1]] }, litres: 5 }),
    { problems: questionProblems({ place: { zone: 'Z-1' }, litres: 0, overMinutes: 0, rainMmPerH: -1 }) },
  ].flatMap(({ problems }) => problems);
  const onGrade = yard({
    zones: { 'Z-1': { drainsTo: 'CB-1', controls: [] } },
    structures: {
      'CB-1': { kind: 'catch-basin', setting: 'on-grade', spillsTo: 'CB-2' },
      'CB-2': { kind: 'catch-basin' },
      'OUT-1': { kind: 'outfall' },
    },
    links: { 'P-1': { from: 'CB-1', to: 'OUT-1' }, 'P-2': { from: 'CB-2', to: 'OUT-1' } },
  });
  const blocked = [line, onGrade].flatMap((drainage) => {
    const question = { place: { zone: 'Z-1' }, litres: 5, rainMmPerH: 20, fluid: 'diesel' } as const;
    const { answer } = findBlocks(drainage, question);
    return answer ? [...answer.advice, ...answer.cautions, ...answer.whilePlacing] : [];
  });
  const told: Text[] = [
    FIRST_WORDS,
    ...blocked,
    ...planned(),
    ...[null, ...FLUIDS].flatMap((fluid) =>
      CONTROLS.flatMap((control) => {
        const danger = { fluid, mayBeGasoline: fluid === null || fluid === 'gasoline', fluidFrom: 'assumed' } as const;
        return (['outfall', 'manhole'] as const).flatMap((kind) =>
          Object.values(safetyFor(danger, { control, kind })).flat(),
        );
      }),
    ),
    ...[20, undefined].flatMap((most) => {
      const limits = { reportLitres: { most } };
      const site = { ...line.map.site, units: 'us' as const, contacts: CONTACTS, limits };
      const calls = callsFor({ site }, { happened: 'neither' });
      return [...calls.map(({ trigger }) => trigger), ...calls.map(({ role }) => role)].concat(
        reportable({ site }, {}).questions.map(({ asks }) => asks),
      );
    }),
    ...[farShutOff({ ...line.map, others: [FAR_STOP] }, 'Z-1') ?? []].flat(),
  ];

  test('tell nothing outside the catalogue, and every message of it', () => {
    expect(escapedOf(asked, '"Z-9"')).toEqual([]);
    expect(escapedFrom(told).filter((word) => !['CB', 'OUT', ...ROLES].includes(word))).toEqual([]);
    expect(unsaid([...asked, ...told], ['spill', 'block'])).toEqual([]);
  });
});

describe('kits and measures', () => {
  const spot = (id: string, lon: number) => ({
    type: 'Feature',
    id,
    properties: { kind: 'kit-spot' },
    geometry: { type: 'Point', coordinates: [lon, 40.011] },
  });
  const ring = (west: number, east: number) => [
    [west, 40.009],
    [east, 40.009],
    [east, 40.0115],
    [west, 40.0115],
    [west, 40.009],
  ];
  const wall = (west: number, east: number) => ({
    type: 'Feature',
    id: 'B-1',
    properties: { kind: 'building' },
    geometry: { type: 'LineString', coordinates: ring(west, east) },
  });
  const spots = [spot('S-1', -104.99), spot('S-2', -104.98)];
  const without = compileDrainage({ ...line.map, zones: line.map.zones.map((zone) => ({ ...zone, geometry: EMPTY })) });
  const kits = () =>
    [
      findKits(yard({ ...LINE, zones: {} }), { count: 1 }, solve),
      findKits(without, { count: 1 }, solve),
      findKits(yard({ ...LINE, others: spots }), { count: 9 }, solve),
      findKits(line, { count: 1 }, solve),
      findKits(yard({ ...LINE, others: [...spots, wall(-105.0001, -104.99955)] }), { count: 1 }, solve),
      findKits(yard({ ...LINE, others: [...spots, wall(-105.0001, -104.995)] }), { count: 1 }, solve),
      findKits(yard({ ...LINE, others: spots }), { withinMinutes: 0.001 }, solve),
      findKits(yard({ ...LINE, others: spots }), { count: 1 }, () => null),
    ].flatMap(({ problems }) => problems);

  test('tell nothing outside the catalogue, and every message of it', () => {
    const roof = yard({ ...LINE, site: { measures: { sweeping: { cut: 0.2 } } } });
    const { answer } = findMeasures(roof, { budget: 1e6 }, solve);
    const sources = [...(answer?.chosen ?? []), ...(answer?.ranked ?? [])].map(({ source }) => source);
    const problems = [...kits(), ...findMeasures(line, { budget: 1000 }, () => null).problems];
    expect(escapedOf(problems, '')).toEqual([]);
    expect(escapedFrom(sources)).toEqual([]);
    expect(unsaid([...problems, ...sources], ['kits', 'measures'])).toEqual([]);
  });
});

describe('a separator', () => {
  const look = { id: 'F-1', at: 'SEP-1', since: '2026-03-01' };
  const fill = (litres: number, sludgeMm: number, sheenAtOutlet = false) => {
    const finding = { ...look, seenAt: '2026-05-30', amount: { litres }, sludgeMm, sheenAtOutlet };
    const file = { format: 'oilshed-findings', version: 1, findings: [finding] };
    const { findings } = readFindings(JSON.stringify(file), line.map);
    const { answer, problems } = findUpkeep(line, findings);
    return { reasons: answer.separators.flatMap(({ reasons }) => reasons), problems };
  };
  const states = [fill(200, 200), fill(100, 100, true)];
  const visit = (chamber: object) => readEntry(madeEntry(1, { body: { condition: { chambers: [chamber] } } })).problems;
  const problems = [
    ...states.flatMap((state) => state.problems),
    ...visit({ role: 'oil', oilMm: 3 }),
    ...visit({ id: 'A' }),
  ];

  test('tells nothing outside the catalogue, and every message of it', () => {
    const reasons = states.flatMap((state) => state.reasons);
    expect(escapedOf(problems, '')).toEqual([]);
    expect(escapedFrom(reasons)).toEqual([]);
    expect(unsaid([...problems, ...reasons], ['upkeep'])).toEqual([]);
  });
});

describe('the log book', () => {
  const chain = chainOf([
    madeEntry(1),
    madeEntry(2),
    madeEntry(3),
    madeEntry(4, { kind: 'correction', body: { corrects: idOf(9), note: '' } }),
  ]);
  const stored = chain.map((sealed): StoredEntry => {
    return { id: sealed.id, site: sealed.site, seq: sealed.seq, text: canonicalText(sealed) };
  });
  const [a, b, c, d] = stored;
  const head: Head = { site: siteOf('tarn-lane'), seq: 4, hash: chain[3].hash };
  const check = (rows: readonly StoredEntry[], heads: readonly Head[] = [head]) => {
    const looking = chainCheck(sha256);
    for (const row of rows) looking.look(row);
    return looking.end(heads).problems;
  };
  const chains = [
    check([a, c, b, d]),
    check([a, d]),
    check([{ ...a, text: '{' }, b, c, d]),
    check([{ ...a, text: ` ${a.text}` }, b, c, d]),
    check([{ ...a, text: a.text.replace('J. Ortega', 'A. Vale') }, b, c, d]),
    check([{ ...a, id: idOf(8) }, b, c, d]),
    check(stored, [{ ...head, seq: 9 }]),
    check(stored, [{ ...head, seq: 2 }]),
    check(stored, [{ ...head, hash: 'e'.repeat(64) }]),
  ].flat();

  const kept = { site: siteOf('tarn-lane'), seq: 5, hash: 'a'.repeat(64) };
  const people: ChainHead = { ...kept, site: 'the record of people' };
  const cure = { told: 'log-book.compare-export' } as const;
  const heads = [
    readHeads(headsText({ heads: [kept], people: null }, sha256).replace('"seq":5', '"seq":4'), sha256).problems,
    behindHead(kept, 4, null, cure),
    behindHead(kept, 2, null, cure),
    behindHead(people, 5, 'b'.repeat(64), cure),
  ].flat();

  const record = (['A. Vale', 'M. Lund'] as const).map((name, at) => {
    const seal = { seq: at + 1, at: '2026-06-01T08:20:00Z', account: null, previous: null };
    return { seq: at + 1, ...sealPeopleChange({ event: 'added', name, role: 'crew' }, seal, sha256) };
  });
  const [first, second] = record;
  const recorded = (rows: readonly { seq: number; text: string }[], seq = rows.length, hash = second.hash) =>
    checkPeopleRecord(rows, { seq, hash }, sha256).problems;
  const people2 = [
    recorded([first, { ...second, seq: 3 }], 3),
    recorded([first, { ...second, text: '{' }]),
    recorded([{ ...first, text: ` ${first.text}` }, second]),
    recorded([first, second], 9),
    recorded([first, second], 2, 'f'.repeat(64)),
    unrecordedPeople(new Map(), [
      { name: 'Eve', role: 'manager' },
      { name: 'Ann', role: 'crew' },
      { name: 'Bob', role: 'viewer' },
    ]),
  ].flat();

  const deep = JSON.parse(`${'{"a":'.repeat(50)}1${'}'.repeat(50)}`);
  const entries = [
    7,
    {
      id: 'mine',
      kind: 'spill',
      at: 'yesterday',
      by: ' ',
      site: '',
      body: { litres: -1, point: [0] },
      photos: ['x.jpg'],
    },
    { ...madeEntry(1), kind: 'dance' },
    { ...madeEntry(1), kind: undefined },
    { ...madeEntry(1), seq: 4 },
    madeEntry(1, { site: 'cafe\u0301' }),
    madeEntry(1, { body: JSON.parse('{"a":[1e999]}') }),
    madeEntry(1, { body: { note: '\ud83d' } }),
    madeEntry(1, { body: { '\udc00': 1 } }),
    madeEntry(1, { body: deep }),
    madeEntry(1, { body: { note: 'x'.repeat(256_000) } }),
    madeEntry(1, { photos: Array.from({ length: 101 }, () => 'a'.repeat(64)) }),
    madeEntry(1, { kind: 'spill', body: { zone: 'Z-1', point: [0, 0], litres: 5, fluid: 'diesel' } }),
    madeEntry(1, { kind: 'spill', body: { litres: 5, fluid: 'diesel' } }),
    madeEntry(1, { kind: 'action', body: { action: 'pump-out', litres: true } }),
    madeEntry(1, { kind: 'sample', body: { at: 'OUT-1', results: 3 } }),
    madeEntry(1, { kind: 'assessment', body: { at: 'OUT-1', colour: 3 } }),
    madeEntry(1, { kind: 'round', body: { stops: Array.from({ length: 201 }, () => ({ at: 'CB-1', looked: 'no' })) } }),
  ];
  const read = entries.flatMap((entry) => readEntry(entry).problems);
  const line1 = readSealedEntry(` ${canonicalText(chain[0])}`, sha256).problems;
  const problems = [...chains, ...heads, ...people2, ...read, ...line1];

  test('tells nothing outside the catalogue, and every message of it', () => {
    const names = 'tarn-lane east J. Ortega Eve Ann Bob dance mine yesterday oilshed-heads café cafe\u0301 x.jpg';
    const source = JSON.stringify(entries) + names + 'a'.repeat(64) + 'b'.repeat(64);
    expect(escapedOf(problems, source).filter((word) => !names.includes(word))).toEqual([]);
    expect(unsaid(problems, ['log-book'])).toEqual([]);
  });
});
