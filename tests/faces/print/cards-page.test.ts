import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { responseCard, zonesWithCards } from '../../../src/block/index.ts';
import { compileDrainage } from '../../../src/drainage/index.ts';
import { cardsPage } from '../../../src/faces/print/cards/cards-page.tsx';
import { routeIn } from '../../../src/faces/web/state/route.ts';
import { readSiteMap, type SiteMap } from '../../../src/site-map/index.ts';
import { siteMark } from '../../../src/words/index.ts';
import { ENGLISH, US_ENGLISH } from '../../support/english.ts';
import { yardMap } from '../../support/yard.ts';

function pageOf(map: SiteMap, { link = null }: { link?: string | null } = {}): string {
  const drainage = compileDrainage(map);
  const cards = zonesWithCards(map).flatMap(({ id }) => responseCard(drainage, id).card ?? []);
  return cardsPage(cards, {
    map,
    voice: map.site.units === 'us' ? US_ENGLISH : ENGLISH,
    siteName: map.site.name ?? 'a yard',
    day: '2026-06-01',
    mapVersion: '0123456789ab',
    link,
    paper: 'a4',
  });
}

const demo = (name: string) => readSiteMap(readFileSync(`site-maps/${name}.geojson`, 'utf8')).map;
const count = (page: string, pattern: RegExp) => page.match(pattern)?.length ?? 0;
/** What a reader sees: no tags, no style. */
const words = (page: string) =>
  page
    .replace(/<style>.*?<\/style>/s, '')
    .replace(/<[^>]*>/g, '')
    .replace(/\s+/g, ' ');

describe('the page of cards', () => {
  test.each(['freight-depot', 'gravel-haul-yard', 'two-bay-garage'])(
    '%s has one card for each zone that is worked on',
    (name) => {
      const map = demo(name);
      const page = pageOf(map);
      expect([...page.matchAll(/<article class="card" data-zone="([^"]*)"/g)].map(([, id]) => id)).toEqual(
        zonesWithCards(map).map(({ id }) => id),
      );
      // Of the contacts four stand large; the rest stand below with their numbers.
      for (const card of page.split('<article ').slice(1))
        for (const { phone = '' } of map.site.contacts ?? []) expect(card).toContain(phone);
      expect(words(page)).toContain('No card for roofs and verges where no fluid is kept: ');
    },
  );

  test('text from the map is text on the page, in every place it can stand', () => {
    const hostile = '<script>alert(1)</script><img src=x onerror="alert(2)">';
    const map = yardMap({
      site: { name: hostile, contacts: [{ role: hostile, name: hostile, phone: hostile }] },
      zones: { [`Z"${hostile}`]: { name: hostile, drainsTo: 'CB-1' } },
      structures: {
        'CB-1': { kind: 'catch-basin', name: hostile, spillsTo: hostile },
        [hostile]: { kind: 'outfall', name: hostile },
      },
      links: { P1: { from: 'CB-1', to: hostile } },
      others: [
        {
          type: 'Feature',
          id: hostile,
          properties: { kind: 'kit', name: hostile, contents: { [hostile]: 1, covers: 1 } },
          geometry: { type: 'Point', coordinates: [-105, 40.001] },
        },
      ].map((each) => ({ ...each, id: `kit ${each.id}` })),
    });
    const page = pageOf(map, { link: 'https://yard.example/' });
    expect(page).toContain('&lt;script');
    expect(page).not.toMatch(/<(script|img)/i);
    expect(page).not.toMatch(/<[^>]*\sonerror=/i);
  });

  test('needs nothing from outside, and may run nothing', () => {
    const page = pageOf(demo('freight-depot'), { link: 'https://yard.example/' });
    expect(page).toContain(`content="default-src 'none'; style-src 'unsafe-inline'"`);
    expect(count(page, /<(script|link|iframe|img)\b/g)).toBe(0);
    expect(count(page, /(?:src|href)="|url\((?!#)|@import/g)).toBe(0);
  });

  test('carries a QR code where there is an address to give, and says how to set one where there is none', () => {
    const map = demo('two-bay-garage');
    const linked = pageOf(map, { link: 'https://yard.example/' });
    expect(count(linked, /<svg class="qr"/g)).toBe(zonesWithCards(map).length);
    const [, address = ''] = /QR code: ([^"]*#\/spill\/Z1[^"]*)"/.exec(linked) ?? [];
    // As the app reads it: the zone, and which yard, so that a card of another one is told.
    const mark = siteMark(map.site.name ?? '');
    expect(address).toBe(`https://yard.example/#/spill/Z1?yard=${mark}`);
    expect(routeIn(new URL(address).hash)).toMatchObject({ question: 'block', subject: 'Z1', yard: mark });
    expect(linked).not.toContain('--link');
    const bare = pageOf(map);
    expect(count(bare, /<svg class="qr"/g)).toBe(0);
    expect(count(bare, /make the cards with --link/g)).toBe(zonesWithCards(map).length);
  });

  test('is in the units of the site', () => {
    expect(words(pageOf(demo('gravel-haul-yard')))).toContain('700 L of diesel, the largest container planned for');
    expect(words(pageOf(demo('freight-depot')))).toContain('119 gal of diesel, the largest container planned for');
    expect(words(pageOf(demo('freight-depot')))).toContain('Rain: 0.98 in/h');
  });

  test('says that its litres are a default where the map lists no container, and leaves lines for missing numbers', () => {
    const map = yardMap({
      zones: { Z1: { drainsTo: 'CB-1' } },
      structures: { 'CB-1': { kind: 'catch-basin' }, 'OUT-1': { kind: 'outfall' } },
      links: { P1: { from: 'CB-1', to: 'OUT-1' } },
    });
    const page = pageOf(map);
    expect(words(page)).toContain('208 L, a default: the map lists no container here');
    expect(words(page)).toContain('No crew is on the map: time is not counted.');
    expect(count(page, /class="phone blank"/g)).toBe(3);
  });

  test('has two columns where there is a crew, and sends nobody to gasoline', () => {
    const map = demo('freight-depot');
    const fuelled = { ...map, zones: map.zones.slice(0, 1) };
    const told = words(pageOf(fuelled));
    for (const each of ['You, alone, now', 'The crew, after', 'cannot be done:', 'If it has all gone past'])
      expect(told).toContain(each);
    const [zone] = fuelled.zones;
    const gasoline = {
      ...fuelled,
      zones: [
        { ...zone, properties: { ...zone.properties, fluids: [{ fluid: 'gasoline' as const, largestLitres: 60 }] } },
      ],
    };
    const said = words(pageOf(gasoline));
    expect(said).toContain('Gasoline: get everyone out.');
    expect(said).toContain('Nobody is sent to the oil: it is gasoline, or may be.');
    expect(said).not.toMatch(/Cover |Close the valve|Berm |Plug |Lay a sock/);
  });
});
