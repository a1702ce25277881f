import {
  dominators,
  type EdgeRows,
  edgeRows,
  FIRST_INDEX,
  type FlowIndex,
  minCut,
  type Network,
} from '../algorithms/index.ts';
import {
  arrivesOverSurface,
  bypassIndex,
  type Drainage,
  downstreamOf,
  findFlowIndex,
  structureAt,
} from '../drainage/index.ts';
import { type Control, END_KINDS, type Link, type Structure, type Zone } from '../site-map/index.ts';
import { linkCleanup, structureCleanup } from './clean-up.ts';
import { type ControlChoice, controlsAt } from './costs.ts';

/**
 * Where oil can go from a spill, as a network of places: zones in one, structures in three, links in one. Edges of no
 * control have no limit (Infinity), but for those to the sink, which cost the clean-up of the place they leave.
 */
export interface SpillNetwork {
  network: Network;
  /** Edges by the node they leave. */
  ways: EdgeRows;
  source: number;
  sink: number;
  /** For each edge: the cheapest control that closes it, if any does. */
  gates: (Gate | null)[];
  /** Every control there is, of one edge the cheapest first. */
  choices: Choice[];
  /** For each place that can be fouled: its node in the network. */
  fouled: { node: number; item: Structure | Link; cleanup: number; isWater: boolean }[];
  /** Money is counted in this part of the currency's unit, in whole numbers, so that the cut is exact. */
  unit: number;
  /** What one body of water weighs, in the currency: more than everything else together. */
  waterCost: number;
}

/** A control at a place: its cost in the site's currency, and the minutes that setting it up takes. */
export interface Gate extends Pick<ControlChoice, 'control' | 'cost' | 'minutes'> {
  /** The structure, or for a berm the zone. */
  at: string;
}

/** One control, with the edge that it closes. */
export interface Choice {
  edge: number;
  gate: Gate;
}

/** How the oil gets onto the yard: from a zone's own ground to its inlets, or straight to the given inlets. */
export interface BlockStart {
  zone: Zone | null;
  inlets: readonly string[];
  /** Controls that do nothing for this fluid. */
  without: readonly Control[];
  /** Structures that have oil in them already: they cost nothing more. */
  alreadyFouled?: ReadonlySet<string>;
}

/**
 * Whether oil there is past saving by the owner: at every outfall, where the map ends, and in what is public but a
 * sanitary connection. A plan that lets oil get there is chosen only if no plan in time prevents it.
 */
function isWater({ kind, properties }: Structure): boolean {
  switch (kind) {
    case 'outfall':
    case 'edge':
      return true;
    case 'sanitary':
      return false;
    case 'catch-basin':
    case 'trench-drain':
    case 'manhole':
    case 'valve':
    case 'pond':
    case 'separator':
      return properties.ownership === 'public';
    default:
      return kind satisfies never;
  }
}

/**
 * Lays out the network of one spill, so that a minimum cut is the cheapest containment: each structure is inlet →
 * chamber (its cover) → outlet (its boom, plug or valve), with its clean-up cost from the chamber to the sink; each
 * pipe or swale a place of its own with its clean-up cost. Zones, overland links and swales lead to inlets, pipes to
 * chambers; an overland link leaves from the inlet too, where no cover stops it. A grate on a grade lets part of the
 * flow run on to `spillsTo`.
 *
 * Why a cut is a plan. A cut divides the places in two: an oily side with the source, and a clean side with the sink.
 * What it cuts has a finite price, so it is either a way that a control closes, at the price of its cheapest control,
 * or the way from an oily chamber or link to the sink, at the price of its clean-up. The price of a cut is thus what
 * its controls and the clean-up of its oily side cost together. The other way about, any set of controls gives the cut
 * whose oily side is what oil still gets to, at no more than the set costs. The cut of least price is therefore the
 * plan of least total cost.
 *
 * Why a structure has three places. Its controls act at different steps: a cover keeps what runs over the ground out of
 * the chamber, which then needs no clean-up; a boom, plug or valve leaves the chamber oily and saves what lies below
 * it. Oil that comes by pipe is past the cover, so a pipe ends at the chamber.
 *
 * Prices are in the site's currency, 0 or more. Inlets that are not on the map are left out; without any, oil gets
 * nowhere. Whether oil gets somewhere is all that counts, and not how much: an insert or a pond that holds most of it
 * changes nothing here. Only what the spill can reach is laid out: O(reached nodes and links), after a look at all
 * places, and one more for each round of grates on a grade that the oil runs on from.
 */
export function spillNetwork(drainage: Drainage, { zone, inlets, without, alreadyFouled }: BlockStart): SpillNetwork {
  const { map, order, linkAt } = drainage;
  const edges: { from: number; to: number; cost: number; gate: Gate | null }[] = [];
  const fouled: SpillNetwork['fouled'] = [];
  let nodeCount = 2;
  const [source, sink] = [0, 1];
  const choices: SpillNetwork['choices'] = [];
  const add = (from: number, to: number, cost = Number.POSITIVE_INFINITY, gate: Gate | null = null) =>
    edges.push({ from, to, cost, gate });
  /** A way that any one of the controls acting there closes. */
  const addGated = (from: number, to: number, place: Zone | Structure, acting: readonly Control[]) => {
    const gates = controlsAt(map, place, null)
      .filter(({ control }) => acting.includes(control) && !without.includes(control))
      .map(({ control, cost, minutes }) => ({ at: place.id, control, cost, minutes }))
      .sort((a, b) => a.cost - b.cost);
    for (const gate of gates) choices.push({ edge: edges.length, gate });
    if (gates.length > 0) add(from, to, gates[0].cost, gates[0]);
    else add(from, to);
  };

  const parts = new Map<FlowIndex, { inlet: number; chamber: number; outlet: number }>();
  const reached = reachOf(drainage, inlets);
  for (let index = FIRST_INDEX; index < order.nodeCount; index++) {
    if (reached[index] === 0) continue;
    const item = structureAt(drainage, index);
    const part = { inlet: nodeCount++, chamber: nodeCount++, outlet: nodeCount++ };
    parts.set(index, part);
    addGated(part.inlet, part.chamber, item, ['cover']);
    // Past an end nothing is left to save, so no control of its outlet is worth asking about.
    addGated(part.chamber, part.outlet, item, END_KINDS.includes(item.kind) ? [] : ['boom', 'plug', 'valve']);
    fouled.push({
      node: part.chamber,
      item,
      cleanup: alreadyFouled?.has(item.id) ? 0 : structureCleanup(map, item),
      isWater: isWater(item),
    });
  }
  const partAt = (index: FlowIndex | undefined) => (index === undefined ? undefined : parts.get(index));
  for (const [index, part] of parts) {
    const next = partAt(bypassIndex(drainage, structureAt(drainage, index)));
    // What runs on leaves before the cover, and no control stops it there.
    if (next) add(part.inlet, next.inlet);
    for (let edge = order.rows[index]; edge < order.rows[index + 1]; edge++) {
      const link = linkAt[edge];
      const end = parts.get(order.targets[edge]);
      if (!link || !end) continue;
      // A link is fouled by what leaves its upper end, whether or not its lower end is closed.
      const way = nodeCount++;
      add(part.outlet, way);
      if (link.kind === 'overland') add(part.inlet, way);
      add(way, arrivesOverSurface(link) ? end.inlet : end.chamber);
      fouled.push({
        node: way,
        item: link,
        cleanup: linkCleanup(map, link),
        isWater: link.properties.ownership === 'public',
      });
    }
  }
  const ground = nodeCount++;
  if (zone) addGated(source, ground, zone, ['berm']);
  else add(source, ground);
  for (const id of inlets) {
    const part = partAt(findFlowIndex(drainage, id));
    if (part) add(ground, part.inlet);
  }

  const { unit, waterCost } = moneyScale(fouled, choices);
  for (const { node, cleanup, isWater: water } of fouled) {
    add(node, sink, cleanup + (water ? waterCost : 0));
  }
  const capacity = edges.map(({ cost }) => (Number.isFinite(cost) ? Math.round(cost / unit) : cost));
  const network: Network = { nodeCount, from: edges.map(({ from }) => from), to: edges.map(({ to }) => to), capacity };
  const ways = edgeRows(nodeCount, network.from);
  return { network, ways, source, sink, gates: edges.map(({ gate }) => gate), choices, fouled, unit, waterCost };
}

/**
 * The same network with only some of its controls to be had. A way whose controls are all ruled out has no limit any
 * more; one that keeps several takes the price of the cheapest left, since `choices` has those of one edge in order of
 * price. Taking controls away never makes the minimum cut cheaper. O(edges).
 */
export function withOnly(spill: SpillNetwork, isUsable: (choice: Choice) => boolean): SpillNetwork {
  const gates: SpillNetwork['gates'] = spill.gates.map(() => null);
  const capacity = [...spill.network.capacity];
  for (const { edge } of spill.choices) capacity[edge] = Number.POSITIVE_INFINITY;
  for (const choice of spill.choices) {
    const { edge, gate } = choice;
    if (gates[edge] !== null || !isUsable(choice)) continue;
    gates[edge] = gate;
    capacity[edge] = Math.round(gate.cost / spill.unit);
  }
  return { ...spill, gates, network: { ...spill.network, capacity } };
}

/**
 * 1 for each place that the spill can reach: by links, and over the ground past grates on a grade. The latter add
 * starts, from which more may be reached, so it is looked at again until nothing is added.
 */
function reachOf(drainage: Drainage, inlets: readonly string[]): Uint8Array {
  const { order } = drainage;
  const starts = new Set(inlets.flatMap((id) => findFlowIndex(drainage, id) ?? []));
  for (;;) {
    const reached = downstreamOf(order, starts);
    const before = starts.size;
    for (let index = FIRST_INDEX; index < order.nodeCount; index++) {
      if (reached[index] === 0) continue;
      const next = bypassIndex(drainage, structureAt(drainage, index));
      if (next !== undefined && reached[next] === 0) starts.add(next);
    }
    if (starts.size === before) return reached;
  }
}

/**
 * What one body of water weighs (more than everything else together, so that keeping oil out of it comes before any
 * price), and the finest unit, a power of two, in which all capacities together stay exact whole numbers.
 *
 * The plain costs of two plans differ by no more than all controls and all clean-up together, which is under the weight
 * of one water. So a plan that lets oil into fewer waters always weighs less: one cut puts waters first and money
 * second. In the unit, everything together comes to about 2⁵¹ at most, and doubles add whole numbers exactly up to 2⁵³:
 * no rounding in the flow can make one plan pass for another. What is rounded is each price, to 2⁻²⁰ of the currency or
 * to the coarser step that very large prices need.
 */
function moneyScale(fouled: SpillNetwork['fouled'], choices: readonly Choice[]): { unit: number; waterCost: number } {
  const controls = choices.reduce((sum, { gate }) => sum + gate.cost, 0);
  const waterCost = fouled.reduce((sum, { cleanup }) => sum + cleanup, controls + 1);
  const waters = fouled.filter((each) => each.isWater).length;
  const most = waterCost * (waters + 1);
  return { unit: 2 ** Math.max(-20, Math.ceil(Math.log2(most)) - 51), waterCost };
}

/** A set of gates closed, and what still gets fouled. Costs are in the site's currency. */
export interface Containment {
  controls: Gate[];
  /** What oil gets into all the same, to be cleaned. */
  fouled: (Structure | Link)[];
  /** Outfalls and public structures that oil gets to all the same. */
  waters: string[];
  controlCost: number;
  cleanupCost: number;
  totalCost: number;
  /** Total cost with each body of water at its weight: what plans are compared by. */
  weight: number;
}

function containment(spill: SpillNetwork, controls: Gate[], isFouled: (node: number) => boolean): Containment {
  const fouled = spill.fouled.filter(({ node }) => isFouled(node));
  const controlCost = controls.reduce((sum, { cost }) => sum + cost, 0);
  const cleanupCost = fouled.reduce((sum, { cleanup }) => sum + cleanup, 0);
  const waters = fouled.filter((each) => each.isWater).map(({ item }) => item.id);
  const totalCost = controlCost + cleanupCost;
  return {
    controls,
    fouled: fouled.map(({ item }) => item),
    waters,
    controlCost,
    cleanupCost,
    totalCost,
    weight: totalCost + waters.length * spill.waterCost,
  };
}

/**
 * The controls of least total cost, by a minimum cut (Dinic 1970): exact, loops or not. Fewest waters reached come
 * first, whatever the prices. Among equal plans the one that stops the oil earliest; controls in the order in which oil
 * gets to them. No controls where none pays. O(nodes² · edges) at worst, near linear on yards.
 *
 * The proof comes with the answer: no flow is larger than any cut, so a flow as large as the cut that was found shows
 * that no cut is smaller. The oily side that comes back is the smallest of all minimum cuts. Whatever stands on it is
 * truly reached: a part of it that oil does not get to could change sides, which would cut nothing more and leave a
 * smaller side. So what is told as fouled is what oil gets to past the controls, and no more.
 */
export function cheapestContainment(spill: SpillNetwork): Containment {
  const { network, source, sink, gates } = spill;
  const { sourceSide } = minCut(network, source, sink);
  // Controls are placed on exactly those ways that lead from the oily side to the clean one.
  const isCut = (edge: number) => sourceSide[network.from[edge]] === 1 && sourceSide[network.to[edge]] === 0;
  const turns = turnsOf(spill, new Set());
  const turnOf = (edge: number) => turns[network.from[edge]];
  const cut = Array.from(gates.keys()).filter((edge) => gates[edge] !== null && isCut(edge));
  const controls = cut.sort((a, b) => turnOf(a) - turnOf(b)).flatMap((edge) => gates[edge] ?? []);
  return containment(spill, controls, (node) => sourceSide[node] === 1);
}

/**
 * For each node, in which turn oil gets to it past the closed edges, nearest first; -1 where it does not.
 * Breadth-first, so nearness is the number of steps, not metres or minutes. O(nodes + edges).
 */
function turnsOf({ network, source, sink, ways }: SpillNetwork, closed: ReadonlySet<number>): Int32Array {
  const turns = new Int32Array(network.nodeCount).fill(-1);
  const queue = new Int32Array(network.nodeCount);
  queue[0] = source;
  turns[source] = 0;
  for (let [at, met] = [0, 1]; at < met; at++) {
    for (let slot = ways.rows[queue[at]]; slot < ways.rows[queue[at] + 1]; slot++) {
      const edge = ways.edges[slot];
      const head = network.to[edge];
      if (head === sink || turns[head] >= 0 || closed.has(edge)) continue;
      turns[head] = met;
      queue[met++] = head;
    }
  }
  return turns;
}

/**
 * What happens with just these controls in place; with none, what doing nothing costs. Every control is paid, also one
 * that keeps nothing clean, so this is what a plan costs that somebody made up, and the yardstick for the cut:
 * but for the rounding of prices, no set of controls weighs less than `cheapestContainment`. O(nodes + edges).
 */
export function containmentWith(spill: SpillNetwork, closed: readonly Choice[]): Containment {
  const turns = turnsOf(spill, new Set(closed.map(({ edge }) => edge)));
  return containment(
    spill,
    closed.map(({ gate }) => gate),
    (node) => turns[node] >= 0,
  );
}

/** What each control alone leaves: money and water, in the order of `spill.choices`. */
export interface Alone {
  cleanupCost: number;
  waters: string[];
}

/**
 * What happens with each control in place alone, as `containmentWith` says for one, but for all of them in one go: a
 * closed edge keeps clean exactly what every way leads to through it, so the dominators of the network have all answers
 * (Cooper, Harvey and Kennedy 2001). What one node dominates stands in one stretch of their preorder, so its clean-up
 * is the difference of two running sums. `cleanupCost` is without the price of the control itself. O(edges + controls ×
 * waters) on yards; the dominators take O(nodes · edges) at worst.
 */
export function eachAlone({ network, source, choices, fouled }: SpillNetwork): Alone[] {
  // Each edge that a control closes gets a node of its own in its middle: dominators are of nodes, and several controls
  // of one edge keep the same places clean.
  const [from, to] = [[...network.from], [...network.to]];
  let nodeCount = network.nodeCount;
  const middle = new Map<number, number>();
  const gates = choices.map(({ edge }) => {
    const known = middle.get(edge);
    if (known !== undefined) return known;
    middle.set(edge, nodeCount);
    from.push(nodeCount);
    to.push(to[edge]);
    to[edge] = nodeCount;
    return nodeCount++;
  });
  const { first, end } = dominators({ nodeCount, from, to }, source);
  // Running sums of clean-up in preorder: the total of a stretch is the one at its end less the one at its start.
  const costAt = new Float64Array(nodeCount + 1);
  for (const { node, cleanup } of fouled) if (first[node] >= 0) costAt[first[node] + 1] += cleanup;
  for (let at = 0; at < nodeCount; at++) costAt[at + 1] += costAt[at];
  const waters = fouled.flatMap(({ node, item, isWater: water }) =>
    water && first[node] >= 0 ? [{ id: item.id, at: first[node] }] : [],
  );
  return gates.map((gate) => {
    // A gate that oil never gets to keeps nothing clean.
    const [from, until] = first[gate] < 0 ? [0, 0] : [first[gate], end[gate]];
    const isKept = (at: number) => from <= at && at < until;
    return {
      cleanupCost: costAt[nodeCount] - (costAt[until] - costAt[from]),
      waters: waters.filter(({ at }) => !isKept(at)).map(({ id }) => id),
    };
  });
}
