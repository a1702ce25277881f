import { writeFileSync } from 'node:fs';
import { studyPage } from './page.ts';
import { runStudy } from './study.ts';

/** `npm run study` writes docs/study.md. `npm run study -- 0.05` runs that part of it and prints the page instead. */
const part = process.argv[2] === undefined ? 1 : Number(process.argv[2]);
if (!(part > 0 && part <= 1)) {
  console.error(`the part to run is ${JSON.stringify(process.argv[2])}; write a number above 0, at most 1`);
  process.exitCode = 2;
} else {
  const page = studyPage(runStudy((line) => console.error(line), part));
  if (part < 1) process.stdout.write(page);
  else writeFileSync('docs/study.md', page);
}
