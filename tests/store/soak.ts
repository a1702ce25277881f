// `npm run soak`: kills writers 1,000 times, or as often as said; fails where anything that was acknowledged is lost.
import { buildWriter, killWriters } from './kills.ts';

const count = Number(process.argv[2] ?? 1000);
const writer = await buildWriter();
const result = await killWriters({ count, seed: 17, writer: writer.file });
writer.remove();
console.log(JSON.stringify(result));
process.exitCode = result.lost === 0 && result.fell === 0 && result.ok ? 0 : 1;
