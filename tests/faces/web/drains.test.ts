import { readFileSync } from 'node:fs';
import { h } from 'preact';
import { renderToString } from 'preact-render-to-string';
import { beforeAll, describe, expect, test } from 'vitest';
import { Drawing, drawFlat, fitTo } from '../../../src/drawing/index.ts';
import { createAnswers } from '../../../src/faces/web/compute/answers.ts';
import { drawnYard } from '../../../src/faces/web/map/drawn-yard.ts';
import { Drains } from '../../../src/faces/web/parts/drains.tsx';
import { knownWays, pickedId } from '../../../src/faces/web/state/picked.ts';
import { speak } from '../../../src/faces/web/state/voice.ts';
import { showYard, yard } from '../../../src/faces/web/state/yard.ts';

const mapText = readFileSync('site-maps/freight-depot.geojson', 'utf8');
const answers = createAnswers();

beforeAll(async () => {
  await speak('en');
  const { yard: opened } = answers.open({ mapText, findingsText: null });
  if (!opened) throw new Error('the depot does not open');
  showYard(opened, { demo: 'freight-depot', fileName: 'depot.geojson', mapText, version: null });
});

/** Picks as the page does, once the worker has answered. */
async function pick(id: string): Promise<void> {
  pickedId.value = id;
  knownWays.value = await answers.ways({ id });
}

const words = () =>
  renderToString(h(Drains, {}))
    .replace(/<[^>]+>/g, '')
    .replace(/\s+/g, ' ');

describe('the words of what is picked', () => {
  test('a lid: the next step by its pipe, what comes farther on, and whose oil gets there', async () => {
    await pick('MH-4');
    expect(words()).toBe(
      'Drains on to Dock lift station by pipe P-12; farther on East separator, Main separator, East outfall, and 1 moreTarn Lane drain.Oil gets here from Loading dock.',
    );
  });

  test('a zone: where it drains on to, over its own ground', async () => {
    await pick('Z1');
    expect(words()).toMatch(/^Drains on to [^.]+; farther on [^.]+\.$/);
    expect(words()).not.toContain(' by ');
  });

  test('an outfall drains on to nothing; what does not drain has no such words', async () => {
    await pick('OUT-2');
    expect(words()).toMatch(/^Drains on to nothing on this map\. ?Oil gets here from/);
    await pick('CREW-1');
    expect(words()).toBe('');
  });

  test('what was known of another pick is not said', async () => {
    await pick('MH-4');
    pickedId.value = 'MH-5';
    expect(words()).toBe('');
  });
});

test('the map has a line for each link of both sides, under the links themselves', async () => {
  await pick('MH-4');
  const ways = knownWays.value;
  const [drawn, open] = [drawnYard.value, yard.value];
  if (!ways || !drawn || !open) throw new Error('nothing is drawn');
  const transform = fitTo(drawFlat(open.map).bounds, { width: 900, height: 700, margin: 20 });
  const drawing = renderToString(h('svg', {}, h(Drawing, { ...drawn, transform })));
  const linesOf = (side: string) =>
    (new RegExp(`class="${side}" d="([^"]*)"`).exec(drawing)?.[1] ?? '').split('M').length - 1;
  expect([linesOf('way-up'), linesOf('way-down')]).toEqual([ways.upLinks.length, ways.downLinks.length]);
  expect(drawing.indexOf('class="ways"')).toBeLessThan(drawing.indexOf('class="links"'));
});
