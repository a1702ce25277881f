import { MultiDirectedGraph } from 'graphology';
import { write } from 'graphology-gexf';
import type { DrainageGraph } from '../../drainage/index.ts';
import { worth } from './input.ts';
import type { GraphFormat } from './verbs/shed.ts';

type Attributes = Record<string, string | number>;
type PlainGraph = MultiDirectedGraph<Attributes, Attributes>;

/**
 * The text of a graph in an open format. Ids and names stand in it as they are, but for the characters that XML
 * cannot hold: those are written as JSON writes them, "\u0001". The same graph gives the same text. O(nodes + edges).
 */
export function graphText(graph: DrainageGraph, format: GraphFormat): string {
  return WRITERS[format](plainGraph(graph));
}

const WRITERS: Readonly<Record<GraphFormat, (graph: PlainGraph) => string>> = { graphml, gexf };

/** What XML 1.0 cannot hold; other control characters, line ends and tabs, which its readers may change; a backslash that would be read as one of these. */
const UNHELD = /[\p{Cc}\p{Cs}\ufffe\uffff]|\\(?=u[0-9a-f]{4})/gu;

const held = (text: string) => text.replace(UNHELD, (each) => `\\u${each.charCodeAt(0).toString(16).padStart(4, '0')}`);

/** The graph with nothing in it but texts that XML can hold and numbers as long as they are worth. */
function plainGraph(graph: DrainageGraph): PlainGraph {
  const plain: PlainGraph = new MultiDirectedGraph();
  graph.forEachNode((id, attributes) => void plain.addNode(held(id), plainAttributes(attributes)));
  graph.forEachDirectedEdge((key, attributes, from, to) => {
    plain.addDirectedEdgeWithKey(held(key), held(from), held(to), plainAttributes(attributes));
  });
  return plain;
}

function plainAttributes(attributes: object): Attributes {
  const plain: Attributes = {};
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === 'number') plain[name] = worth(value);
    else if (typeof value === 'string') plain[name] = held(value);
  }
  return plain;
}

/** GEXF 1.2, by graphology's own writer; programs show `label`, which is the name. */
function gexf(graph: PlainGraph): string {
  const format = (_key: string, attributes: Attributes) => {
    const { name, ...rest } = attributes;
    return { ...(name === undefined ? {} : { label: String(name) }), attributes: rest };
  };
  return `${write(graph, { formatNode: format, formatEdge: format })}\n`;
}

/** GraphML 1.0 (graphml.graphdrawing.org), which graphology reads but does not write. */
function graphml(graph: PlainGraph): string {
  const nodes = graph.mapNodes((id, attributes) => ({ tag: `node id="${escaped(id)}"`, attributes }));
  const edges = graph.mapDirectedEdges((key, attributes, from, to) => ({
    tag: `edge id="${escaped(key)}" source="${escaped(from)}" target="${escaped(to)}"`,
    attributes,
  }));
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    '<graphml xmlns="http://graphml.graphdrawing.org/xmlns" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"',
    '  xsi:schemaLocation="http://graphml.graphdrawing.org/xmlns http://graphml.graphdrawing.org/xmlns/1.0/graphml.xsd">',
    ...declarations('node', nodes),
    ...declarations('edge', edges),
    '  <graph edgedefault="directed">',
    ...nodes.flatMap((each) => element('node', each)),
    ...edges.flatMap((each) => element('edge', each)),
    '  </graph>',
    '</graphml>',
    '',
  ].join('\n');
}

interface Element {
  tag: string;
  attributes: Attributes;
}

/** One line for each attribute that any node, or any edge, has. */
function declarations(what: 'node' | 'edge', elements: readonly Element[]): string[] {
  const types = new Map<string, string>();
  for (const { attributes } of elements)
    for (const [name, value] of Object.entries(attributes))
      types.set(name, typeof value === 'number' ? 'double' : 'string');
  return [...types].map(
    ([name, type]) => `  <key id="${what}-${name}" for="${what}" attr.name="${name}" attr.type="${type}"/>`,
  );
}

function element(what: 'node' | 'edge', { tag, attributes }: Element): string[] {
  const data = Object.entries(attributes).map(
    ([name, value]) => `      <data key="${what}-${name}">${escaped(String(value))}</data>`,
  );
  return [`    <${tag}>`, ...data, `    </${what}>`];
}

const ENTITIES: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };

const escaped = (text: string) => text.replace(/[&<>"]/g, (each) => ENTITIES[each]);
