import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import type { Share, SourcesOptions } from '../../src/sources/index.ts';
import { askOften } from '../support/ask.ts';
import type { RawFinding } from '../support/slow-sources.ts';
import { type YardWords, yard } from '../support/yard.ts';

/*
 * Worked examples by JAGS (M. Plummer, JAGS: A program for analysis of Bayesian graphical models using Gibbs sampling,
 * 2003), a general sampler that knows nothing of yards. The models stand beside the figures; run.py there makes them.
 */
const FOLDER = 'tests/worked-examples/jags';
const read = (name: string) => JSON.parse(readFileSync(`${FOLDER}/${name}.json`, 'utf8'));

interface Example {
  about: string;
  yard: YardWords;
  findings: RawFinding[];
  options: SourcesOptions;
}
type Figure = { is: number; error: number };
const reference = read('reference') as {
  made: string;
  yards: Record<string, Record<string, Record<keyof Share, Figure>>>;
};

const SEEDS = 8;
/** Our own standard error is taken from eight seeds and so is itself rough; under this it is not believed. */
const LEAST_ERROR = 0.001;
/** Combined standard errors allowed. */
const ERRORS = 4.5;

describe('three yards against JAGS', () => {
  test('the reference says by what it was made', () => expect(reference.made).toMatch(/^JAGS \d+\.\d+\.\d+, 4 chains/));

  test.each(Object.keys(reference.yards))('%s: mean, bounds and chance of being the main source agree', (name) => {
    const { yard: words, findings, options } = read(name) as Example;
    const { shares, errors } = askOften(yard(words), findings, { ...options, seeds: SEEDS });
    const rows = Object.entries(reference.yards[name]);
    expect(rows.length).toBe(shares.size - (options.unmappedShare === 0 ? 1 : 0));
    for (const [source, figures] of rows) {
      for (const [key, { is, error }] of Object.entries(figures) as [keyof Share, Figure][]) {
        const own = Math.max(LEAST_ERROR, errors.get(source)?.[key] ?? Number.NaN);
        const tolerance = ERRORS * Math.hypot(own, error);
        // A tolerance that lets anything pass would be no test.
        expect(tolerance, `${source} ${key}`).toBeLessThan(0.04);
        expect(Math.abs((shares.get(source)?.[key] ?? Number.NaN) - is), `${source} ${key}`).toBeLessThan(tolerance);
      }
    }
  });
});
