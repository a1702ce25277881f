import { type Text, type Told, told } from '../../catalogue/index.ts';
import { type Problem, problem } from '../problem.ts';
import { type Node, PASSING_OUTFALL_HOLDS, type PlacedLink } from './nodes.ts';

/** A link's end moved less than this onto its structure is no guess but the drawing's own rounding, in metres. */
const MOVED_M = 0.01;
/** Links named in a note. */
const NAMED = 6;

interface NotesInput {
  nodes: readonly Node[];
  links: readonly PlacedLink[];
  /** How far each line end was moved onto its node, in metres. */
  movedM: Float64Array;
  snapM: number;
}

/** A note for every guess: structures made, lines split, ends moved, outfalls that lead on. O(nodes + links). */
export function networkNotes(input: NotesInput): Problem[] {
  const linesSplit = linesSplitBy(input.links);
  return [
    ...input.nodes.flatMap((node, at) => nodeNotes(node, linesSplit.get(at) ?? 0)),
    ...twinNotes(input.nodes),
    ...moveNotes(input),
  ];
}

const guess = (id: string, field: string | null, message: Told, cure: Told) =>
  problem('import-guess', { id, field }, { message, cure });

function namesOf(links: readonly PlacedLink[]): Text {
  const names = [...new Set(links.map(({ id }) => id))];
  const more = names.length - NAMED;
  return { list: more > 0 ? [...names.slice(0, NAMED), told('import.more', { count: more })] : names };
}

/** How many lines each node cuts in two. */
function linesSplitBy(links: readonly PlacedLink[]): Map<number, number> {
  const counts = new Map<number, number>();
  for (const { from, startEnd } of links) if (startEnd === null) counts.set(from, (counts.get(from) ?? 0) + 1);
  return counts;
}

function nodeNotes(node: Node, linesSplit: number): Problem[] {
  const { id, kind, point, ins, outs } = node;
  const notes: Problem[] = [];
  if (point === null) notes.push(madeNote(node, linesSplit));
  else if (linesSplit > 0) {
    const message = told('import.on-line', { count: linesSplit, links: namesOf([...ins, ...outs]) });
    notes.push(guess(id, null, message, told('import.rejoin-links')));
  }
  if (kind === 'outfall' && outs.length > 0) {
    const share = { share: PASSING_OUTFALL_HOLDS };
    const message = told('import.outfall-leads-on', { count: outs.length, links: namesOf(outs), share });
    notes.push(guess(id, 'holds', message, told('import.outfall-holds-all')));
  }
  return notes;
}

function madeNote({ id, role, ins, outs }: Node, linesSplit: number): Problem {
  const links = namesOf([...ins, ...outs]);
  if (role === 'lower-end') {
    const message = told('import.made-outfall', { links, count: ins.length });
    return guess(id, 'kind', message, told('import.look-below'));
  }
  if (role === 'upper-end') {
    const message = told('import.made-upper-end', { links, count: outs.length });
    return guess(id, 'kind', message, told('import.look-above'));
  }
  const message = told(linesSplit > 0 ? 'import.made-on-line' : 'import.made-junction', { links });
  return guess(id, 'kind', message, told('import.look-at-junction'));
}

/** Structures without a link that stand where another one has taken it: most likely one structure drawn twice. */
function twinNotes(nodes: readonly Node[]): Problem[] {
  const keyOf = ({ position }: Node) => `${position[0].toFixed(7)} ${position[1].toFixed(7)}`;
  const linked = new Map(nodes.filter(({ role }) => role !== 'alone').map((node) => [keyOf(node), node.id]));
  return nodes.flatMap((node) => {
    const twin = node.role === 'alone' ? linked.get(keyOf(node)) : undefined;
    if (twin === undefined) return [];
    return [guess(node.id, null, told('import.twin', { twin }), told('map.delete-twin'))];
  });
}

type MovedKey = 'import.start-moved' | 'import.end-moved';

function moveNotes({ nodes, links, movedM, snapM }: NotesInput): Problem[] {
  const snap = { number: snapM, digits: (String(snapM).split('.')[1] ?? '').length };
  const note = (link: PlacedLink, { end, node, key }: { end: number | null; node: number; key: MovedKey }) => {
    if (end === null || movedM[end] < MOVED_M) return [];
    const moved = { number: movedM[end], digits: 2 };
    const message = told(key, { moved, node: nodes[node].id, snap });
    return [guess(link.id, 'geometry', message, told('import.draw-exactly'))];
  };
  return links.flatMap((link) => [
    ...note(link, { end: link.startEnd, node: link.from, key: 'import.start-moved' }),
    ...note(link, { end: link.finishEnd, node: link.to, key: 'import.end-moved' }),
  ]);
}
