let [passed, failed, skipped] = [0, 0, 0];
const started = performance.now();

const after = () => `${Math.round((performance.now() - started) / 1000)} s`;

/** One thing that must hold. What it throws is said, and the others go on; true where it held. */
export async function holds(name: string, work: () => Promise<unknown>): Promise<boolean> {
  try {
    await work();
    passed++;
    console.log(`passed: ${name} (${after()})`);
    return true;
  } catch (error) {
    failed++;
    console.log(`FAILED: ${name} (${after()})\n${error instanceof Error ? error.message : error}`);
    return false;
  }
}

/** Tests that another program counted. */
export function count(name: string, counted: { passed: number; failed: number; skipped: number }): void {
  passed += counted.passed;
  failed += counted.failed;
  skipped += counted.skipped;
  console.log(`${name}: ${counted.passed} passed, ${counted.failed} failed, ${counted.skipped} skipped (${after()})`);
}

/** What cannot be tried on this machine, and why; it is not called passed. */
export function notTried(what: string, why: string): void {
  skipped++;
  console.log(`not tried: ${what}, since ${why}`);
}

/** The closing line, told from that of `npm test`, and the exit status: nothing may have failed, and something must have passed. */
export function close(): number {
  console.log(`long: ${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ''}`);
  return failed > 0 || passed === 0 ? 1 : 0;
}
