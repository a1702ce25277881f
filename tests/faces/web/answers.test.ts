import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { createAnswers } from '../../../src/faces/web/compute/answers.ts';
import { isFindings, openFiles } from '../../../src/faces/web/state/open.ts';
import { speak } from '../../../src/faces/web/state/voice.ts';
import { notice } from '../../../src/faces/web/state/yard.ts';
import { type Entry, readEntry } from '../../../src/log-book/index.ts';
import { madeEntry } from '../../log-book/made.ts';
import { yardText } from '../../support/yard.ts';

const text = yardText({
  zones: { Z1: { drainsTo: 'CB-1' }, Z2: { drainsTo: 'CB-2' }, Z3: { drainsTo: 'CB-3' } },
  structures: {
    'CB-1': { kind: 'catch-basin' },
    'CB-2': { kind: 'catch-basin' },
    'CB-3': { kind: 'catch-basin' },
    'SEP-1': { kind: 'separator', lengthM: 2, widthM: 1, holds: 1 },
    'OUT-1': { kind: 'outfall' },
  },
  links: {
    P1: { from: 'CB-1', to: 'SEP-1' },
    P2: { from: 'CB-2', to: 'SEP-1' },
    P3: { from: 'SEP-1', to: 'OUT-1' },
    P4: { from: 'CB-3', to: 'OUT-1' },
  },
});
const window = { since: '2026-01-01', seenAt: '2026-04-01' };
const found = (id: string, at: string, litres: number) => ({ id, at, ...window, amount: { litres } });

function opened() {
  const answers = createAnswers();
  const reply = answers.open({ mapText: text, findingsText: null });
  if (!reply.yard) throw new Error(JSON.stringify(reply.mapProblems));
  return { answers, yard: reply.yard };
}

describe('a file that is brought', () => {
  test('is told for what it is where it is no JSON, before anything is asked of the worker', async () => {
    await speak('en');
    await openFiles([new File(['%PDF-1.7\n'], 'yard.pdf')]);
    expect(notice.value).toMatchObject({
      title: 'yard.pdf cannot be opened yet: 1 thing to mend.',
      problems: [
        { code: 'other-format', message: { told: 'map.other-format', values: { what: { told: 'map.format-pdf' } } } },
      ],
    });
  });
});

describe('what the worker answers', () => {
  test('a map with errors is refused with all of them, and the yard before stays open', async () => {
    const { answers } = opened();
    const reply = answers.open({ mapText: '{"type":"FeatureCollection","features":[{}, {}]}', findingsText: null });
    expect(reply.yard).toBeNull();
    expect(reply.mapProblems.filter(({ severity }) => severity === 'error').length).toBeGreaterThanOrEqual(3);
    expect((await answers.block({ place: { zone: 'Z1' }, litres: 10 })).answer?.inlets).toEqual(['CB-1']);
  });

  test('where oil has passed a structure, nothing is planned at its inlet nor above it', async () => {
    const { answers } = opened();
    const question = { place: { zone: 'Z1' }, litres: 100, fluid: 'diesel' } as const;
    const placesOf = async (goneBy: string[]) => {
      const { answer } = await answers.block({ ...question, goneBy });
      return answer?.singles.map(({ at, control }) => `${control} ${at}`) ?? [];
    };
    const all = await placesOf([]);
    expect(all).toEqual(expect.arrayContaining(['cover CB-1', 'sock CB-1', 'plug SEP-1', 'boom OUT-1']));
    expect(await placesOf(['CB-1'])).toEqual(all.filter((each) => !/^(cover|sock) CB-1$/.test(each)));
    expect(await placesOf(['SEP-1'])).toEqual(all.filter((each) => !/ CB-1$/.test(each)));
    expect(await placesOf(['NOWHERE'])).toEqual(all);
  });

  test('what the log book read of a separator is no room any more', async () => {
    const { answers } = opened();
    const question = { place: { zone: 'Z1' }, litres: 200, fluid: 'diesel', rainMmPerH: 1e-9 } as const;
    const outWith = async (entries: Entry[]) => {
      const { spill } = await answers.block({ ...question, entries });
      return spill?.litres.toWater;
    };
    const reading = readEntry(madeEntry(1, { kind: 'finding', body: found('F1', 'SEP-1', 30) })).entry;
    if (!reading) throw new Error('no entry');
    // A tenth stays in the basin; 25.4 mm on 2 m² are 50.8 L, of which 30 are taken.
    expect(await outWith([])).toBeCloseTo(180 - 50.8, 6);
    expect(await outWith([reading])).toBeCloseTo(180 - 20.8, 6);
  });

  test('findings with an error are left out, the rest is kept', () => {
    const findings = [found('F1', 'SEP-1', 5), found('F2', 'NOWHERE', 5)];
    const { answers } = opened();
    const reply = answers.findings({ text: JSON.stringify({ format: 'oilshed-findings', version: 1, findings }) });
    expect(reply.findings.map(({ id }) => id)).toEqual(['F1']);
    expect(reply.problems.map(({ id }) => id)).toEqual(['F2']);
  });

  test('the place of the finding asked about decides, and every finding is weighed', () => {
    const { answers } = opened();
    const findings = [found('early', 'SEP-1', 50), found('late', 'SEP-1', 2), found('other', 'CB-3', 80)];
    const { answer } = answers.sources({ findings, asked: 'late' });
    expect([answer?.at, answer?.findings]).toEqual(['SEP-1', ['early', 'late', 'other']]);
    expect(answers.sources({ findings, asked: 'other' }).answer?.at).toBe('CB-3');
  });

  test('of several findings at the place, the shares are for the latest', () => {
    const { answers } = opened();
    const later = { ...found('later', 'SEP-1', 2), seenAt: '2026-05-01' };
    const { answer } = answers.sources({ findings: [found('first', 'SEP-1', 50), later], asked: 'first' });
    expect(answer?.finding).toBe('later');
  });

  test('a finding with a fault is left out and told; without the one asked about there is no answer', () => {
    const { answers } = opened();
    const findings = [found('good', 'SEP-1', 5), { ...found('bad', 'CB-1', 1), since: '2027-01-01' }];
    const { answer, problems } = answers.sources({ findings, asked: 'good' });
    expect([answer?.findings, problems.map(({ id }) => id)]).toEqual([['good'], ['bad']]);
    expect(answers.sources({ findings, asked: 'bad' }).answer).toBeNull();
  });

  test('with nothing to ask about, the shares are those of the whole yard', () => {
    const { answers } = opened();
    const { answer } = answers.sources({ findings: [], asked: null });
    expect([answer?.at, answer?.isOily, answer?.zones.length]).toEqual([null, false, 3]);
  });

  test('oil on a zone’s own ground is weighed, and the question goes to a structure', () => {
    const { answers } = opened();
    const findings = [found('held', 'SEP-1', 5), { id: 'ground', at: 'Z1', ...window, seen: 'oil' as const }];
    const { answer } = answers.sources({ findings, asked: 'ground' });
    expect([answer?.at, answer?.zones[0].id]).toEqual(['SEP-1', 'Z1']);
  });

  test('amounts of every form come back in litres', () => {
    const { answers } = opened();
    const amounts = {
      film: { appearance: [{ code: 3, share: 0.5 }], areaM2: 20 },
      layer: { thicknessMm: 3, areaM2: 2 },
      socks: { socks: 2, kgEach: 0.88 },
    };
    const findings = Object.entries(amounts).map(([id, amount]) => ({ id, at: 'SEP-1', ...window, amount }));
    const reply = answers.findings({ text: JSON.stringify({ format: 'oilshed-findings', version: 1, findings }) });
    // 10 m² of 5 to 50 µm is 0.05 to 0.5 L.
    expect(reply.amounts.film.litres).toBeCloseTo(Math.sqrt(0.05 * 0.5), 10);
    expect(reply.amounts.film.factor).toBeCloseTo(Math.sqrt(10), 10);
    expect([reply.amounts.layer.litres, reply.amounts.socks.litres]).toEqual([6, 2]);
  });

  test('only zones that drain there have a share', () => {
    const { answers } = opened();
    const { answer } = answers.sources({ findings: [found('F', 'SEP-1', 5)], asked: 'F' });
    expect(answer?.zones.map(({ id }) => id).sort()).toEqual(['Z1', 'Z2']);
  });

  test('a window turned round comes back as a problem, not as a fault', () => {
    const { answers } = opened();
    const turned = { ...found('F', 'SEP-1', 5), since: '2026-09-01' };
    const { answer, problems } = answers.sources({ findings: [turned], asked: 'F' });
    expect(answer).toBeNull();
    expect(problems.map(({ code }) => code)).toContain('bad-window');
  });

  test('the way of a spill is all that lies below its inlets, and nothing else', async () => {
    const { answers } = opened();
    const { spill } = await answers.block({ place: { zone: 'Z1' }, litres: 10 });
    expect(spill?.arrivals.map(({ id }) => id)).toEqual(['CB-1', 'SEP-1', 'OUT-1']);
    expect(spill?.ways.map(({ id }) => id)).toEqual(['P1', 'P3']);
  });

  test('nothing can be asked before a yard is open', async () => {
    await expect(createAnswers().block({ place: { zone: 'Z1' }, litres: 1 })).rejects.toThrow('no yard is open');
  });

  test('what is sent to the page can be copied to it', () => {
    const { yard } = opened();
    expect(structuredClone(yard)).toEqual(yard);
    expect(yard).not.toHaveProperty('map.file');
  });
});

describe('telling findings from a map', () => {
  test.each(['freight-depot', 'two-bay-garage', 'gravel-haul-yard'])('%s', (name) => {
    expect(isFindings(readFileSync(`site-maps/${name}.findings.json`, 'utf8'))).toBe(true);
    expect(isFindings(readFileSync(`site-maps/${name}.geojson`, 'utf8'))).toBe(false);
  });

  test('what is no JSON is no findings file', () => {
    expect(isFindings('findings')).toBe(false);
    expect(isFindings('null')).toBe(false);
  });
});
