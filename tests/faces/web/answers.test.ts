import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { createAnswers } from '../../../src/faces/web/compute/answers.ts';
import { isFindings } from '../../../src/faces/web/state/open.ts';
import { yardText } from '../../support/yard.ts';

const text = yardText({
  zones: { Z1: { drainsTo: 'CB-1' }, Z2: { drainsTo: 'CB-2' }, Z3: { drainsTo: 'CB-3' } },
  structures: {
    'CB-1': { kind: 'catch-basin' },
    'CB-2': { kind: 'catch-basin' },
    'CB-3': { kind: 'catch-basin' },
    'SEP-1': { kind: 'separator' },
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

describe('what the worker answers', () => {
  test('a map with errors is refused with all of them, and the yard before stays open', () => {
    const { answers } = opened();
    const reply = answers.open({ mapText: '{"type":"FeatureCollection","features":[{}, {}]}', findingsText: null });
    expect(reply.yard).toBeNull();
    expect(reply.mapProblems.filter(({ severity }) => severity === 'error').length).toBeGreaterThanOrEqual(3);
    expect(answers.block({ zone: 'Z1', litres: 10, fluid: undefined }).answer?.inlets).toEqual(['CB-1']);
  });

  test('findings with an error are left out, the rest is kept', () => {
    const findings = [found('F1', 'SEP-1', 5), found('F2', 'NOWHERE', 5)];
    const { answers } = opened();
    const reply = answers.findings({ text: JSON.stringify({ format: 'oilshed-findings', version: 1, findings }) });
    expect(reply.findings.map(({ id }) => id)).toEqual(['F1']);
    expect(reply.problems.map(({ id }) => id)).toEqual(['F2']);
  });

  test('the finding asked about decides, even where a larger one stands at the same point', () => {
    const { answers } = opened();
    const findings = [found('old', 'SEP-1', 50), found('new', 'SEP-1', 2), found('other', 'CB-3', 80)];
    expect(answers.sources({ findings, asked: 'new' }).answer?.finding).toBe('new');
    expect(answers.sources({ findings, asked: 'other' }).answer?.at).toBe('CB-3');
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

  test('the way of a spill is all that lies below its inlets, and nothing else', () => {
    const { answers } = opened();
    const { path } = answers.block({ zone: 'Z1', litres: 10, fluid: undefined });
    expect(path.structures).toEqual(['CB-1', 'SEP-1', 'OUT-1']);
    expect(path.links).toEqual(['P1', 'P3']);
  });

  test('nothing can be asked before a yard is open', () => {
    expect(() => createAnswers().block({ zone: 'Z1', litres: 1, fluid: undefined })).toThrow('no yard is open');
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
