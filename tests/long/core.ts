import { readdirSync, readFileSync } from 'node:fs';
import { delimiter, join } from 'node:path';
import { root } from '../support/root.ts';
import type { Node } from './nodes.ts';
import { run, tail } from './processes.ts';

/** The core tests by one Node, those of the rooms and the command line. The screens and the server are tried on the machine's own Node. */
export function coreTests(node: Node, report: string) {
  const rooms = readdirSync(join(root, 'src')).filter((name) => name !== 'faces');
  const files = [...rooms.map((room) => `tests/${room}/`), 'tests/faces/cli/'];
  return countedTests(node.path, report, ['--config', '.config/vitest.ts', '--project', '!browser', ...files]);
}

/** Files of tests that say in their name that they are long, by this Node. */
export const longTests = (report: string, nodes: readonly Node[]) =>
  countedTests(process.execPath, report, ['--config', '.config/long.ts'], {
    OILSHED_NODES: nodes.map(({ path }) => path).join(delimiter),
  });

/** Tests that vitest runs with these words: vitest itself and every program that the tests start run on one Node. */
async function countedTests(node: string, report: string, words: readonly string[], env: NodeJS.ProcessEnv = {}) {
  const vitest = join(root, 'node_modules', 'vitest', 'vitest.mjs');
  const all = [node, vitest, 'run', ...words, '--reporter=json', `--outputFile.json=${report}`];
  const { status, said } = await run(all, { cwd: root, env: { ...process.env, ...env } }, 30);
  let counted: { numPassedTests: number; numFailedTests: number; numPendingTests: number; testResults: Tested[] };
  try {
    counted = JSON.parse(readFileSync(report, 'utf8'));
  } catch {
    throw new Error(`vitest ended with ${status}:\n${tail(said)}`);
  }
  const { numPassedTests: passed, numFailedTests, numPendingTests: skipped, testResults } = counted;
  const failures = testResults.flatMap(({ name, message, assertionResults }) => [
    ...(message ? [`${name}: ${message}`] : []),
    ...assertionResults
      .filter(({ status }) => status === 'failed')
      .map(({ fullName, failureMessages }) => `${name}: ${fullName}\n${failureMessages.join('\n')}`),
  ]);
  return { passed, failed: Math.max(numFailedTests, status === 0 ? 0 : 1), skipped, failures };
}

interface Tested {
  name: string;
  message: string;
  assertionResults: { status: string; fullName: string; failureMessages: string[] }[];
}
