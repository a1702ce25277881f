import { told } from '../../../catalogue/index.ts';
import { type Drainage, graphUpstreamOf, oilshed, toGraph } from '../../../drainage/index.ts';
import { INLET_KINDS, idRemedy } from '../../../site-map/index.ts';
import { InputError, loadDrainage, output, outputText, UsageError, writeOut } from '../input.ts';
import { fileLine, heading, left, right, STANDARD_OUTPUT, safe, table } from '../print.ts';
import { say, voice } from '../voice.ts';

interface ShedFlags {
  at?: string;
  graph?: string;
  json?: boolean;
}

/** `oilshed shed MAP --at ID`: which zones can send oil here? With `--graph FILE`, the yard or that part of it as a graph. */
export async function shed(file: string, { at, graph, json }: ShedFlags): Promise<number> {
  if (at === undefined && graph === undefined) throw new UsageError(say('cli-errors.shed-at-missing'));
  const place = graph === undefined ? null : graphPlace(graph, json);
  const drainage = await loadDrainage(file);
  if (at !== undefined) holdStructure(drainage, at, file);
  const written = place && (await writeGraph(drainage, place, at));
  if (written?.file === STANDARD_OUTPUT) return 0;
  const found = at === undefined ? null : shedOf(drainage, at);
  output(json, { ...found?.object, ...(written && { graph: written }) }, () =>
    [...(found ? [found.text()] : []), ...(written ? [heading(say('cli.shed-graph', written))] : [])].join('\n\n'),
  );
  return 0;
}

/** An InputError where the id is no structure's. */
function holdStructure({ map, nodeOf }: Drainage, at: string, file: string): void {
  const ids = map.structures.map(({ id }) => id);
  if (ids.includes(at)) return;
  const key = nodeOf.has(at) ? 'cli-errors.shed-is-zone' : 'cli-errors.shed-no-structure';
  const some = map.structures
    .filter(({ kind }) => !INLET_KINDS.includes(kind))
    .slice(0, 4)
    .map(({ id }) => id);
  const cure = idRemedy(at, ids, told('cli-errors.shed-cure', { ids: some.join(', ') }));
  throw new InputError([fileLine(file, say(key, { at, cure }))]);
}

/** The zones as `--json` prints them, and as a person reads them. */
function shedOf(drainage: Drainage, at: string) {
  const found = oilshed(drainage, at);
  const areaM2 = found.reduce((sum, { zone }) => sum + zone.areaM2, 0);
  const zones = found.map(({ zone, delivered }) => ({ id: zone.id, areaM2: zone.areaM2, delivered }));
  const text = () => {
    const { text } = voice();
    if (found.length === 0) return safe(say('cli.shed-none', { at }));
    const rows = found.map(({ zone, delivered }) => [
      zone.id,
      zone.name,
      text({ squareMetres: zone.areaM2 }),
      text({ share: delivered }),
    ]);
    const columns = [
      left('cli.column-zone'),
      left('cli.column-name'),
      right('cli.column-area'),
      right('cli.shed-column-delivered'),
    ];
    return [
      heading(say('cli.shed-zones', { zones: found.length, area: { squareMetres: areaM2 }, at })),
      '',
      table(columns, rows),
      '',
      say('cli.shed-delivered'),
    ].join('\n');
  };
  return { object: { at, zones, areaM2 }, text };
}

const GRAPH_FORMATS = ['graphml', 'gexf'] as const;
export type GraphFormat = (typeof GRAPH_FORMATS)[number];

interface GraphPlace {
  file: string;
  format: GraphFormat;
}

/** Where `--graph` writes, and how. Standard output has no name to tell the format by: there it is GraphML. */
function graphPlace(file: string, json: boolean | undefined): GraphPlace {
  if (file === STANDARD_OUTPUT) {
    if (json) throw new UsageError(say('cli-errors.graph-and-json'));
    return { file, format: 'graphml' };
  }
  const format = GRAPH_FORMATS.find((each) => file.toLowerCase().endsWith(`.${each}`));
  if (format) return { file, format };
  const endings = { choice: GRAPH_FORMATS.map((each) => `.${each}`) };
  throw new UsageError(say('cli-errors.graph-ending', { word: JSON.stringify(file), endings }));
}

/** Writes the whole yard, or the part that can send oil to a structure, with how much of each node's oil gets there. */
async function writeGraph(drainage: Drainage, { file, format }: GraphPlace, at: string | undefined) {
  const graph = at === undefined ? toGraph(drainage) : graphUpstreamOf(drainage, at);
  // The writers are loaded only when they are asked for, so that the other answer comes fast.
  const { graphText } = await import('../graph-file.ts');
  const text = graphText(graph, format);
  if (file === STANDARD_OUTPUT) outputText(text);
  else writeOut(file, text, '--graph');
  return { file, nodes: graph.order, edges: graph.size };
}
