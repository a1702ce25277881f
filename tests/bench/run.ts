import { cpus } from 'node:os';
import { consumed } from './measure.ts';

/** `npm run bench -- NAME`: prints ratios within one run; never a pass or a fail. */
const benches: Record<string, () => Promise<{ run: (print: (line: string) => void) => void | Promise<void> }>> = {
  first: () => import('./first.bench.ts'),
  sources: () => import('./sources.bench.ts'),
  spill: () => import('./spill.bench.ts'),
  kits: () => import('./kits.bench.ts'),
  log: () => import('./log.bench.ts'),
  web: () => import('./web.bench.ts'),
};

const name = process.argv[2] ?? 'first';
const load = benches[name];
if (load) {
  console.log(`bench ${name}: Node ${process.version}, ${cpus()[0]?.model}, ${cpus().length} cores`);
  await (await load()).run((line) => console.log(line));
  console.log(`(consumed ${consumed.total.toExponential(3)})`);
} else {
  console.error(`no bench is called ${JSON.stringify(name)}; there is ${Object.keys(benches).join(', ')}`);
  process.exitCode = 2;
}
