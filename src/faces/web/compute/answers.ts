import {
  checkMap,
  compileDrainage,
  type Drainage,
  type DrainageGraph,
  findFlowIndex,
  flowIndexOf,
  holdsOf,
  upstreamOf,
} from '../../../drainage/index.ts';
import { type Entry, entriesInForce, findingsFileOf, upkeepQuestion, visitsDue } from '../../../log-book/index.ts';
import { type Control, hasErrors, readSiteMap, STRUCTURE_CONTROLS } from '../../../site-map/index.ts';
import {
  amountOf,
  type Finding,
  type FindingsReading,
  findingsIn,
  findSources,
  heldIn,
  ONE_SPILL_LITRES,
  readFindings,
} from '../../../sources/index.ts';
import type { ModelFacts } from '../../../spill/index.ts';
import { fillLimits, findUpkeep, roomsByReading } from '../../../upkeep/index.ts';
import { handsOf, spilledAt, walkOf } from './helpers.ts';
import type { Amounts, Asks, PlannerTask, Replies, Task, Yard } from './protocol.ts';

/** Answers to everything the page may ask but plans; what a first answer does not need is loaded when it is first asked about. */
export type Answers = { [T in Exclude<Task, PlannerTask | 'ways' | 'block'>]: (ask: Asks[T]) => Replies[T] } & {
  block(ask: Asks['block']): Promise<Replies['block']>;
  ways(ask: Asks['ways']): Promise<Replies['ways']>;
};

/**
 * What stands behind the worker: the rooms, and the drainage of the map that was opened last. A map with errors is
 * not taken over, so the yard on screen can always be asked about.
 */
export function createAnswers(): Answers {
  let drainage: Drainage | null = null;
  /** Made when it is first asked about, once for each map. */
  let graph: DrainageGraph | null = null;
  /** By the entries that were read last: a plan is asked for many times, and its rooms change with a reading alone. */
  let rooms: { read: string; facts: ModelFacts } | null = null;
  const opened = () => {
    if (!drainage) throw new Error('no yard is open yet');
    return drainage;
  };
  return {
    open({ mapText, findingsText }) {
      const reading = readSiteMap(mapText);
      if (hasErrors(reading.problems)) {
        return { yard: null, findings: [], amounts: {}, mapProblems: reading.problems, findingProblems: [] };
      }
      drainage = compileDrainage(reading.map);
      graph = null;
      rooms = null;
      const { file: _, ...map } = reading.map;
      const holds = Object.fromEntries(map.structures.map((structure) => [structure.id, holdsOf(structure)]));
      const report = checkMap(reading);
      const yard: Yard = { map, report, holds };
      const { findings, amounts, problems } = told(
        findingsText === null ? NOTHING_READ : readFindings(findingsText, reading.map),
      );
      return { yard, findings, amounts, mapProblems: report.problems, findingProblems: problems };
    },
    findings(question) {
      const { map } = opened();
      return told('text' in question ? readFindings(question.text, map) : findingsIn(question.file, map));
    },
    sources: (question) => askSources(opened(), question),
    async ways({ id }) {
      const { toGraph, waysThrough } = await import('../../../drainage/graph.ts');
      graph ??= toGraph(opened());
      return graph.hasNode(id) ? waysThrough(graph, id) : null;
    },
    upkeep: (question) => askUpkeep(opened(), question),
    walk: (question) => walkOf(opened().map, question),
    async block({ goneBy = [], entries = [], ...asked }) {
      const drainage = opened();
      const [{ findBlocks }, { findSpill }] = await Promise.all([
        import('../../../block/index.ts'),
        import('../../../spill/index.ts'),
      ]);
      const ruledOut = [...(asked.ruledOut ?? []), ...goneBy.flatMap((at) => passedWith(drainage, at))];
      const question = { ...asked, ruledOut, hands: handsOf(drainage.map, asked) };
      const read = JSON.stringify([entries.length, entries.at(-1)?.id]);
      if (rooms?.read !== read) rooms = { read, facts: roomsOf(drainage, entries) };
      const { facts } = rooms;
      const { answer, problems } = findBlocks(drainage, question, facts);
      const { answer: spill } = findSpill(drainage, question, facts);
      return { spilledAt: spilledAt(drainage.map, asked.place), answer, spill, problems };
    },
  };
}

/** What is too late where oil has passed a structure: a cover or a sock at its own inlet, and everything above it. */
function passedWith(drainage: Drainage, at: string): { at: string; control: Control }[] {
  const passed = findFlowIndex(drainage, at);
  if (passed === undefined) return [];
  const { reaches } = upstreamOf(drainage, passed);
  return drainage.map.structures.flatMap(({ id }) => {
    const controls = id === at ? INLET_CONTROLS : reaches[flowIndexOf(drainage, id)] ? STRUCTURE_CONTROLS : [];
    return controls.map((control) => ({ at: id, control }));
  });
}

/** How much oil each separator has room for, by its last reading in the log book. */
function roomsOf(drainage: Drainage, entries: readonly Entry[]): ModelFacts {
  if (entries.length === 0) return {};
  const { timeZone } = drainage.map.site;
  const { findings } = findingsIn(findingsFileOf(entries, timeZone), drainage.map);
  const rooms = roomsByReading(findUpkeep(drainage, findings, upkeepQuestion(entries, timeZone)).answer);
  return { roomOf: (separator) => rooms.get(separator) };
}

const INLET_CONTROLS = ['sock', 'cover'] as const;

const NOTHING_READ: FindingsReading = { findings: [], problems: [] };

const told = ({ findings, problems }: FindingsReading): Replies['findings'] => ({
  findings: findings.map(({ source }) => source),
  amounts: amountsOf(findings),
  problems,
});

const amountsOf = (findings: readonly Finding[]): Amounts =>
  Object.fromEntries(findings.flatMap(({ id, source }) => (source.amount ? [[id, amountOf(source.amount)]] : [])));

/**
 * All findings are weighed. One with a fault is left out and told, unless it is the very one asked about: then there is
 * no answer until it is mended.
 */
function askSources(drainage: Drainage, question: Asks['sources']): Replies['sources'] {
  const { findings: all, asked, isOneSpill, from } = question;
  const file = { format: 'oilshed-findings', version: 1, findings: all };
  const { findings, problems } = findingsIn(file, drainage.map);
  const amounts = amountsOf(findings);
  const about = findings.find(({ id }) => id === asked);
  if (asked !== null && !about) return { answer: null, amounts, problems };
  // Oil on a zone's own ground is evidence, but it is oil in a structure that shares are taken of.
  const isZone = drainage.map.zones.some(({ id }) => id === about?.at);
  const reply = findSources(drainage, findings, {
    ...(about && !isZone ? { at: about.source.at } : {}),
    ...(isOneSpill ? { releaseLitres: ONE_SPILL_LITRES } : {}),
    ...(from ? { from } : {}),
  });
  return { answer: reply.answer, amounts, problems: [...problems, ...reply.problems] };
}

/** By the log book where it has read a separator, else by the findings on screen; pump-outs count either way. */
function askUpkeep(drainage: Drainage, { entries, findings, today }: Asks['upkeep']): Replies['upkeep'] {
  const { map } = drainage;
  const { timeZone } = map.site;
  const separators = map.structures.filter(({ kind }) => kind === 'separator');
  const isOfSeparator = (finding: Record<string, unknown>) => separators.some(({ id }) => id === finding.at);
  const book = findingsFileOf(entries, timeZone);
  const isFromBook = book.findings.some(isOfSeparator);
  const read = findingsIn(isFromBook ? book : { ...book, findings }, map);
  const { answer } = findUpkeep(drainage, read.findings, upkeepQuestion(entries, timeZone));
  const readingsOf = (separator: string) =>
    read.findings
      .filter(({ at }) => at === separator)
      .flatMap((finding) => {
        const held = heldIn(finding);
        return held ? [{ ms: finding.seenAtMs, ...held }] : [];
      })
      .sort((a, b) => a.ms - b.ms);
  return {
    visits: visitsDue(answer.separators, { unreadFrom: entriesInForce(entries)[0]?.at ?? today, timeZone }),
    readings: Object.fromEntries(separators.map(({ id }) => [id, readingsOf(id)])),
    limits: Object.fromEntries(separators.map((separator) => [separator.id, fillLimits(separator)])),
    isFromBook,
    problems: read.problems,
  };
}
