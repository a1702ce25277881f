import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { root } from '../support/root.ts';
import type { Node } from './nodes.ts';
import { run, tail } from './processes.ts';

/**
 * The core tests by one Node, those of the rooms and the command line: vitest itself and every program that the tests start
 * run on it. The screens and the server are tried on the machine's own Node.
 */
export async function coreTests({ path }: Node, report: string) {
  const rooms = readdirSync(join(root, 'src')).filter((name) => name !== 'faces');
  const files = [...rooms.map((room) => `tests/${room}/`), 'tests/faces/cli/'];
  const words = [
    'run',
    '--config',
    '.config/vitest.ts',
    '--project',
    '!browser',
    '--reporter=json',
    `--outputFile.json=${report}`,
  ];
  const vitest = join(root, 'node_modules', 'vitest', 'vitest.mjs');
  const { status, said } = await run([path, vitest, ...words, ...files], { cwd: root }, 30);
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
