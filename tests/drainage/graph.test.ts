import { describe, expect, test } from 'vitest';
import { findPlace, itemAt, placeAt, placesFrom, structureAt, toGraph, walk } from '../../src/drainage/index.ts';
import { yard } from '../support/yard.ts';

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

describe('places of the flow order', () => {
  test('an id has one place, where it stands', () => {
    for (const id of ['Z1', 'A', 'B', 'OUT']) expect(itemAt(drainage, placeAt(drainage, id)).id).toBe(id);
    expect(findPlace(drainage, 'C')).toBeUndefined();
    expect(() => placeAt(drainage, 'C')).toThrow('"C" is no zone or structure of this map');
  });

  test('a zone is no structure', () => {
    expect(structureAt(drainage, placeAt(drainage, 'OUT')).kind).toBe('outfall');
    expect(() => structureAt(drainage, placeAt(drainage, 'Z1'))).toThrow('is the zone Z1, not a structure');
  });

  test('places from one up to another', () => {
    const [first, last] = [placeAt(drainage, 'Z1'), placeAt(drainage, 'OUT')];
    expect(placesFrom(first, last)).toHaveLength(last - first);
    expect(placesFrom(last, last)).toEqual([]);
  });
});
