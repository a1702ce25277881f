import { writeFileSync } from 'node:fs';
import { studyPage } from './page.ts';
import { runSpillStudy } from './spill.ts';
import { spillPage } from './spill-page.ts';
import { runStudy } from './study.ts';

/**
 * `npm run study` writes docs/study.md. `npm run study -- 0.05` runs that part of it and prints the page instead.
 * `npm run study -- spill` writes docs/study-spill.md.
 */
const [word] = process.argv.slice(2);
const part = word === undefined ? 1 : Number(word);
if (word === 'spill') writeFileSync('docs/study-spill.md', spillPage(runSpillStudy((line) => console.error(line))));
else if (!(part > 0 && part <= 1)) {
  console.error(`the part to run is ${JSON.stringify(word)}; write spill, or a number above 0, at most 1`);
  process.exitCode = 2;
} else {
  const page = studyPage(runStudy((line) => console.error(line), part));
  if (part < 1) process.stdout.write(page);
  else writeFileSync('docs/study.md', page);
}
