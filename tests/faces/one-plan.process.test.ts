import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { findBlocks, responseCard, zonesWithCards } from '../../src/block/index.ts';
import { compileDrainage } from '../../src/drainage/index.ts';
import { cardsPage } from '../../src/faces/print/cards/cards-page.tsx';
import { readSiteMap, type SiteMap } from '../../src/site-map/index.ts';
import { briefOf, type Places, planTelling } from '../../src/words/index.ts';
import { runVerb } from '../support/cli.ts';
import { ENGLISH, US_ENGLISH } from '../support/english.ts';

const YARDS = ['freight-depot', 'gravel-haul-yard', 'two-bay-garage'].map((name) => {
  const file = `site-maps/${name}.geojson`;
  return { file, map: readSiteMap(readFileSync(file, 'utf8')).map };
});

/** Names as the command line writes them. */
function placesOf(map: SiteMap): Places {
  const all = [...map.zones, ...map.structures, ...map.others.map(({ id, properties }) => ({ id, ...properties }))];
  const names = new Map(all.map(({ id, name = id }) => [id, name === id ? id : `${name} (${id})`]));
  const kinds = new Map(map.structures.map(({ id, kind }) => [id, kind]));
  return { nameOf: (id) => names.get(id) ?? id, kindOf: (id) => kinds.get(id), others: map.others };
}

describe('one plan for all who tell it', () => {
  test.each(YARDS)(
    '$file: each zone has the plan and the words of the telling, with the same defaults',
    async (yard) => {
      const { file, map } = yard;
      const drainage = compileDrainage(map);
      const places = placesOf(map);
      const voice = map.site.units === 'us' ? US_ENGLISH : ENGLISH;
      for (const { id: zone } of map.zones) {
        const words = ['block', file, '--zone', zone, '--litres', '60'];
        const { answer } = findBlocks(drainage, { place: { zone }, litres: 60 });
        if (!answer) throw new Error(`${zone} has no answer`);
        const telling = planTelling(answer, places, voice);
        const { stdout } = await runVerb(words);
        for (const sentence of [...telling.first, ...telling.now, ...telling.kept]) expect(stdout).toContain(sentence);
        const brief = await runVerb([...words, '--brief']);
        expect(brief.stdout.trimEnd().split('\n')).toEqual(briefOf(answer, places, voice));
      }
    },
  );

  test.each(YARDS)(
    '$file: each card has the plan for its litres, fluid and rain, and orders its steps as the telling does',
    ({ map }) => {
      const drainage = compileDrainage(map);
      const voice = map.site.units === 'us' ? US_ENGLISH : ENGLISH;
      for (const { id: zone } of zonesWithCards(map)) {
        const { card } = responseCard(drainage, zone);
        if (!card) throw new Error(`${zone} has no card`);
        const question = { place: { zone }, litres: card.litres, fluid: card.largestOf ?? undefined };
        expect(card.all.dry).toEqual(findBlocks(drainage, question).answer);
        expect(card.all.rain).toEqual(findBlocks(drainage, { ...question, rainMmPerH: card.rainMmPerH }).answer);
        const page = cardsPage([card], {
          ...{ map, voice, siteName: 'a yard', day: '2026-06-01', mapVersion: '0123456789ab', link: null },
          paper: 'a4',
        });
        const words = page.replace(/<style>.*?<\/style>/s, '').replace(/<[^>]*>/g, '');
        const orders = (answer: typeof card.all.dry) =>
          planTelling(answer, placesOf(map), voice).steps.map(({ hand, order }) => ({ hand, order }));
        const alone = card.alone ? orders(card.alone.dry) : [];
        const crew = orders(card.all.dry).filter(({ hand }) => card.alone === null || hand !== 'here');
        // As many steps as a card has room for.
        for (const { order } of [...alone.slice(0, 3), ...crew.slice(0, card.alone ? 2 : 3)])
          expect(words).toContain(order);
      }
    },
  );

  test('where nobody named a fluid and gasoline is among several, a plan follows gasoline’s rule, and so does the head of the card', () => {
    const zones = YARDS.flatMap(({ map }) =>
      zonesWithCards(map).flatMap(({ id, properties: { fluids = [] } }) =>
        fluids.length > 1 && fluids.some(({ fluid }) => fluid === 'gasoline') ? [{ map, zone: id }] : [],
      ),
    );
    expect(zones.length).toBeGreaterThan(0);
    for (const { map, zone } of zones) {
      const drainage = compileDrainage(map);
      const { answer } = findBlocks(drainage, { place: { zone }, litres: 60 });
      expect([answer?.spill.mayBeGasoline, answer?.plan.controls]).toEqual([true, []]);
      expect(responseCard(drainage, zone).card).toMatchObject({ danger: { mayBeGasoline: true }, isUntilNamed: true });
    }
  });
});
