import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { isInside } from '../../src/algorithms/index.ts';
import {
  compileDrainage,
  type DrainageGraph,
  findFlowIndex,
  flowIndexOf,
  graphUpstreamOf,
  indicesFrom,
  itemAt,
  oilshed,
  structureAt,
  toGraph,
  walk,
  waysThrough,
} from '../../src/drainage/index.ts';
import { polygonsOf, readSiteMap } from '../../src/site-map/index.ts';
import { yard, yardText } from '../support/yard.ts';

const drainage = yard({
  zones: { Z1: { name: 'Fuel island', drainsTo: [{ to: 'A', share: 0.25 }, { to: 'B' }] } },
  structures: {
    A: { kind: 'catch-basin', name: 'By the gate' },
    B: { kind: 'manhole' },
    OUT: { kind: 'outfall' },
  },
  links: { P1: { from: 'A', to: 'B', share: 0.4 }, P2: { from: 'A', to: 'B' }, P3: { from: 'B', to: 'OUT' } },
});

describe('the yard as a graph', () => {
  test('every zone and structure by its id, with its name and kind', () => {
    const graph = toGraph(drainage);
    expect(graph.mapNodes((id, { name, kind }) => [id, name, kind])).toEqual([
      ['Z1', 'Fuel island', 'zone'],
      ['A', 'By the gate', 'catch-basin'],
      ['B', 'B', 'manhole'],
      ['OUT', 'OUT', 'outfall'],
    ]);
  });

  test('every link with its share, parallel ones too; a zone’s own ground is no link', () => {
    const edges = toGraph(drainage).mapEdges((_, { link, share }, from, to) => [from, to, link, share]);
    expect(edges.sort()).toEqual([
      ['A', 'B', 'P1', 0.4],
      ['A', 'B', 'P2', 0.6],
      ['B', 'OUT', 'P3', 1],
      ['Z1', 'A', null, 0.25],
      ['Z1', 'B', null, 0.75],
    ]);
  });

  test('a walk begins with the start and goes on to what is nearest', () => {
    expect(walk(toGraph(drainage), 'A', 'out')).toEqual(['A', 'B', 'OUT']);
    expect(walk(toGraph(drainage), 'B', 'in').sort()).toEqual(['A', 'B', 'Z1']);
  });
});

const depot = compileDrainage(readSiteMap(readFileSync('site-maps/freight-depot.geojson', 'utf8')).map);

describe('the graph of a whole yard', () => {
  test('has every zone and structure as a node, with what the map says of it', () => {
    const graph = toGraph(depot);
    const { zones, structures } = depot.map;
    expect(graph.nodes()).toEqual([...zones, ...structures].map(({ id }) => id));
    for (const { id, name, areaM2, geometry, properties } of zones) {
      const node = graph.getNodeAttributes(id);
      expect(node).toMatchObject({ kind: 'zone', name, areaM2, activity: properties.activity });
      const rings = polygonsOf(geometry)
        .flat()
        .map((ring) => ring.map(([x, y]) => [x, y] as const));
      expect(isInside(rings, [node.lon, node.lat]), id).toBe(true);
    }
    for (const { id, name, kind, position } of structures)
      expect(graph.getNodeAttributes(id)).toMatchObject({ kind, name, lon: position[0], lat: position[1] });
  });

  test('has every link as an edge under its id, and every inlet of a zone as an edge over its ground', () => {
    const graph = toGraph(depot);
    const { zones, links } = depot.map;
    for (const { id, kind, from, to, lengthM } of links) {
      expect(graph.extremities(id)).toEqual([from, to]);
      expect(graph.getEdgeAttributes(id)).toMatchObject({ kind, link: id, lengthM });
    }
    for (const { id, inlets } of zones)
      for (const { to, share } of inlets) {
        expect(graph.extremities(`${id} > ${to}`)).toEqual([id, to]);
        expect(graph.getEdgeAttributes(`${id} > ${to}`)).toMatchObject({ kind: 'ground', link: null, share });
      }
    expect(graph.size).toBe(links.length + zones.reduce((sum, { inlets }) => sum + inlets.length, 0));
  });

  const edgesFrom = (graph: DrainageGraph, id: string) => graph.outEdges(id).sort();
  const twins = yard({
    zones: { Z1: { drainsTo: [{ to: 'CB-1' }, { to: 'CB-1' }] } },
    structures: {
      'CB-1': { kind: 'catch-basin', insert: { holds: 0.75 } },
      'OUT-1': { kind: 'outfall' },
    },
    links: {
      P1: { from: 'CB-1', to: 'OUT-1', share: 0.25 },
      P2: { from: 'CB-1', to: 'OUT-1', name: 'Old pipe' },
      'Z1 > CB-1': { from: 'OUT-1', to: 'CB-1' },
    },
  });

  test('keeps two ways between the same two lids apart, and edges whose keys would be the same', () => {
    const graph = toGraph(twins);
    expect(graph.size).toBe(5);
    expect(edgesFrom(graph, 'CB-1')).toEqual(['P1', 'P2']);
    expect(edgesFrom(graph, 'Z1')).toHaveLength(2);
    const named = graph.mapEdges((_, edge) => (edge.kind === 'ground' ? 'ground' : edge.name));
    expect(named.sort()).toEqual(['Old pipe', 'P1', 'Z1 > CB-1', 'ground', 'ground']);
  });

  test('tells the water’s share of each way, and the oil’s, which an insert makes less', () => {
    const graph = toGraph(twins);
    const shares = (edge: string) => [graph.getEdgeAttribute(edge, 'share'), graph.getEdgeAttribute(edge, 'oilShare')];
    expect(shares('Z1 > CB-1')).toEqual([0.5, 0.125]);
    expect([shares('P1'), shares('P2')]).toEqual([
      [0.25, 0.25],
      [0.75, 0.75],
    ]);
  });

  test('is a new one each time: changing it changes no other and not the yard', () => {
    toGraph(depot).dropNode('SEP-1');
    expect(toGraph(depot).hasNode('SEP-1')).toBe(true);
  });
});

describe('the part upstream of a structure', () => {
  const zonesIn = (graph: DrainageGraph) => graph.filterNodes((_, { kind }) => kind === 'zone').sort();

  test('has the structure’s oilshed, each zone with how much of its oil gets there, and what lies between', () => {
    for (const { id } of depot.map.structures) {
      const part = graphUpstreamOf(depot, id);
      expect(part.nodes().sort()).toEqual(walk(toGraph(depot), id, 'in').sort());
      const shed = oilshed(depot, id);
      expect(zonesIn(part)).toEqual(shed.map(({ zone }) => zone.id).sort());
      for (const { zone, delivered } of shed) expect(part.getNodeAttribute(zone.id, 'delivered')).toBe(delivered);
    }
  });

  test('keeps every way between what is in it', () => {
    const whole = toGraph(depot);
    const part = graphUpstreamOf(depot, 'SEP-1');
    const between = whole.filterEdges((_, __, from, to) => part.hasNode(from) && part.hasNode(to));
    expect(part.edges().sort()).toEqual(between.sort());
    expect(part.size).toBeLessThan(whole.size);
  });
});

test('links and inlets that name no structure are left out, and the rest stands', () => {
  const { map } = readSiteMap(
    yardText({
      zones: { Z1: { drainsTo: [{ to: 'A', share: 0.5 }, { to: 'X' }] }, Z2: { drainsTo: 'B' } },
      structures: { A: { kind: 'manhole' }, B: { kind: 'outfall' } },
      links: {
        P1: { from: 'A', to: 'B' },
        P2: { from: 'A', to: 'X' },
        P3: { from: 'X', to: 'B' },
        P4: { from: 'A', to: 'Z2' },
        P5: { from: 'Z2', to: 'A' },
      },
    }),
  );
  const edges = toGraph(compileDrainage(map)).mapEdges((_, { link }, from, to) => [from, to, link]);
  expect(edges.sort()).toEqual([
    ['A', 'B', 'P1'],
    ['Z1', 'A', null],
    ['Z2', 'B', null],
  ]);
});

describe('what drains to a place, and what it drains to', () => {
  test('is on the depot what a walk meets, with the links that lie between', () => {
    const graph = toGraph(depot);
    for (const { id } of [...depot.map.zones, ...depot.map.structures]) {
      const { up, down, upLinks, downLinks, next } = waysThrough(graph, id);
      expect([up, down]).toEqual([walk(graph, id, 'in').slice(1), walk(graph, id, 'out').slice(1)]);
      const [above, below] = [new Set([id, ...up]), new Set([id, ...down])];
      const linksWithin = (part: Set<string>) =>
        depot.map.links.filter(({ from, to }) => part.has(from) && part.has(to)).map((link) => link.id);
      expect([upLinks.sort(), downLinks.sort()]).toEqual([linksWithin(above).sort(), linksWithin(below).sort()]);
      expect(next.map(({ to }) => to).sort()).toEqual(graph.mapOutEdges(id, (_, __, ___, to) => to).sort());
    }
  });

  test('a zone drains over its own ground first, by no link; an outfall to nothing', () => {
    const graph = toGraph(drainage);
    expect(waysThrough(graph, 'Z1').next).toContainEqual({ to: 'A', link: null });
    expect(waysThrough(graph, 'OUT')).toMatchObject({ down: [], downLinks: [], next: [] });
  });
});

describe('places of the flow order', () => {
  test('an id has one place, where it stands', () => {
    for (const id of ['Z1', 'A', 'B', 'OUT']) expect(itemAt(drainage, flowIndexOf(drainage, id)).id).toBe(id);
    expect(findFlowIndex(drainage, 'C')).toBeUndefined();
    expect(() => flowIndexOf(drainage, 'C')).toThrow('"C" is no zone or structure of this map');
  });

  test('a zone is no structure', () => {
    expect(structureAt(drainage, flowIndexOf(drainage, 'OUT')).kind).toBe('outfall');
    expect(() => structureAt(drainage, flowIndexOf(drainage, 'Z1'))).toThrow('is the zone Z1, not a structure');
  });

  test('places from one up to another', () => {
    const [first, last] = [flowIndexOf(drainage, 'Z1'), flowIndexOf(drainage, 'OUT')];
    expect(indicesFrom(first, last)).toHaveLength(last - first);
    expect(indicesFrom(last, last)).toEqual([]);
  });
});
