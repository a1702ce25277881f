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

const guess = (id: string, field: string | null, message: string, cure: string) =>
  problem('import-guess', { id, field }, { message, cure });

function namesOf(links: readonly PlacedLink[]): string {
  const names = [...new Set(links.map(({ id }) => id))];
  const more = names.length - NAMED;
  return more > 0 ? `${names.slice(0, NAMED).join(', ')} and ${more} more` : names.join(', ');
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
    const message = `it stands on the middle of ${linesSplit === 1 ? 'a line' : `${linesSplit} lines`}, taken to lead into and out of it as ${namesOf([...ins, ...outs])}`;
    notes.push(guess(id, null, message, 'join the links again if they pass below or beside it'));
  }
  if (kind === 'outfall' && outs.length > 0) {
    const message = `${namesOf(outs)} leads on from this outfall, so ${PASSING_OUTFALL_HOLDS} of the oil is taken to stay here and the rest to go on`;
    notes.push(guess(id, 'holds', message, 'state "holds": 1 if oil that gets here has left the yard'));
  }
  return notes;
}

function madeNote({ id, role, ins, outs }: Node, linesSplit: number): Problem {
  const where = `no structure is drawn where ${namesOf([...ins, ...outs])}`;
  if (role === 'lower-end') {
    const message = `${where} ${ins.length > 1 ? 'end' : 'ends'} and nothing leads on; an outfall was made`;
    return guess(id, 'kind', message, 'look where it comes out, and draw what leads on if something does');
  }
  if (role === 'upper-end') {
    const message = `${where} ${outs.length > 1 ? 'begin' : 'begins'}; a manhole was made as its upper end`;
    return guess(id, 'kind', message, 'make it a catch-basin if ground drains into it, or draw what leads here');
  }
  const split = linesSplit > 0 ? ', on the middle of a line, which was split' : '';
  return guess(id, 'kind', `${where} meet${split}; a manhole was made`, 'look there, and write the kind it really is');
}

/** Structures without a link that stand where another one has taken it: most likely one structure drawn twice. */
function twinNotes(nodes: readonly Node[]): Problem[] {
  const keyOf = ({ position }: Node) => `${position[0].toFixed(7)} ${position[1].toFixed(7)}`;
  const linked = new Map(nodes.filter(({ role }) => role !== 'alone').map((node) => [keyOf(node), node.id]));
  return nodes.flatMap((node) => {
    const twin = node.role === 'alone' ? linked.get(keyOf(node)) : undefined;
    if (twin === undefined) return [];
    const message = `it stands at the same place as ${twin}, which was given the links; it has none`;
    return [guess(node.id, null, message, 'delete one of them if it was drawn twice')];
  });
}

function moveNotes({ nodes, links, movedM, snapM }: NotesInput): Problem[] {
  const note = (link: PlacedLink, end: number | null, which: string, node: number) => {
    if (end === null || movedM[end] < MOVED_M) return [];
    const message = `its ${which} was moved ${movedM[end].toFixed(2)} m onto ${nodes[node].id}; up to ${snapM} m was taken as meeting`;
    return [guess(link.id, 'geometry', message, 'draw it exactly, or import with a smaller tolerance')];
  };
  return links.flatMap((link) => [
    ...note(link, link.startEnd, 'start', link.from),
    ...note(link, link.finishEnd, 'end', link.to),
  ]);
}
