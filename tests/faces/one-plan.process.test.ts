import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { findBlocks } from '../../src/block/index.ts';
import { compileDrainage } from '../../src/drainage/index.ts';
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
});
