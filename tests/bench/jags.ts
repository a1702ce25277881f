import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { mixingOf } from '../../src/algorithms/index.ts';
import { drawPosterior } from '../../src/sources/draws/draws.ts';
import { findingsIn } from '../../src/sources/index.ts';
import { deliveryModel } from '../../src/sources/model/delivery-model.ts';
import { poseQuestion } from '../../src/sources/question/question.ts';
import { yard } from '../support/yard.ts';

const MODELS = join('tests', 'worked-examples', 'jags');
const [CHAINS, FIRST, SWEEPS] = [4, 2_000, 40_000];
const SHARE_THAT_MATTERS = 0.05;
/** One of ours is over too soon for the clock. */
const OUR_RUNS = 200;

const hasJags = () => spawnSync('jags', ['-h'], { input: '' }).error === undefined;

/** Effective draws a second of the worst share that matters, by JAGS, on one of the worked examples. */
function jagsPerSecond(name: string): number {
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-jags-'));
  for (const end of ['jags', 'data'])
    writeFileSync(join(folder, `yard.${end}`), readFileSync(join(MODELS, `${name}.${end}`)));
  const seeds = Array.from({ length: CHAINS }, (_, chain) => chain + 1);
  for (const seed of seeds) {
    writeFileSync(
      join(folder, `start${seed}.data`),
      `".RNG.name" <- "base::Mersenne-Twister"\n".RNG.seed" <- ${seed}\n`,
    );
  }
  const starts = seeds.map((seed) => `parameters in start${seed}.data, chain(${seed})`);
  const words = [
    'model in yard.jags',
    'data in yard.data',
    `compile, nchains(${CHAINS})`,
    ...starts,
    'initialize',
    `update ${FIRST}`,
    'monitor share',
    `update ${SWEEPS}`,
    'coda *',
  ];
  writeFileSync(join(folder, 'script'), `${words.join('\n')}\n`);
  const before = performance.now();
  spawnSync('jags', ['script'], { cwd: folder });
  const seconds = (performance.now() - before) / 1000;
  const values = seeds.map((seed) =>
    Float64Array.from(
      readFileSync(join(folder, `CODAchain${seed}.txt`), 'utf8')
        .trim()
        .split('\n'),
      (line) => Number(line.trim().split(/\s+/)[1]),
    ),
  );
  rmSync(folder, { recursive: true });
  let worst = Number.POSITIVE_INFINITY;
  for (let at = 0; at < values[0].length; at += SWEEPS) {
    const chains = values.map((chain) => chain.subarray(at, at + SWEEPS));
    const mean = chains[0].reduce((sum, value) => sum + value, 0) / SWEEPS;
    if (mean >= SHARE_THAT_MATTERS) worst = Math.min(worst, mixingOf(chains).effectiveCount);
  }
  return worst / seconds;
}

function oursPerSecond(name: string): number {
  const { yard: words, findings: raw, options } = JSON.parse(readFileSync(join(MODELS, `${name}.json`), 'utf8'));
  const drainage = yard(words);
  const { findings } = findingsIn({ format: 'oilshed-findings', version: 1, findings: raw }, drainage.map);
  const question = poseQuestion(drainage, findings, options);
  const model = deliveryModel(drainage, question.evidence);
  drawPosterior(question, model);
  let effective = 0;
  const before = performance.now();
  for (let seed = 2; seed < 2 + OUR_RUNS; seed++) {
    effective += drawPosterior({ ...question, seed }, model).mixing.effectiveCount;
  }
  return effective / ((performance.now() - before) / 1000);
}

/** Effective draws a second against JAGS on the same three models, as ratios within this run. */
export function compareWithJags(print: (line: string) => void): void {
  if (!hasJags()) {
    print('JAGS: skipped, there is no program jags (Debian: apt-get install jags)');
    return;
  }
  for (const name of ['star', 'line', 'windows']) {
    print(
      `effective draws a second against JAGS, ${name}: ${(oursPerSecond(name) / jagsPerSecond(name)).toFixed(1)} times as many`,
    );
  }
}
