import { batch } from '@preact/signals';
import { ask } from '../compute/ask.ts';
import type { Replies } from '../compute/protocol.ts';
import { asked, earlier, isOneSpill, sources, sourcesProblems, takeFindings } from './finding.ts';
import { tellFault } from './keep-up.ts';
import { forgetPicks } from './picked.ts';
import { forgetSteps } from './said.ts';
import { DEMO_YARDS, type DemoYard, notice, type OpenYard, showYard, yard } from './yard.ts';

/** Text of a file of the program's own, or null where there is none. */
async function fetchText(path: string): Promise<string | null> {
  try {
    const response = await fetch(path);
    return response.ok ? await response.text() : null;
  } catch {
    return null;
  }
}

export const openFirstYard = () => openDemo(DEMO_YARDS[0].id);

/** Opens a demo yard with its findings. One that cannot be fetched is said so, and the yard on screen stays. */
export async function openDemo(demo: DemoYard): Promise<void> {
  const fileName = `${demo}.geojson`;
  const [mapText, findingsText] = await Promise.all([
    fetchText(`/site-maps/${fileName}`),
    fetchText(`/site-maps/${demo}.findings.json`),
  ]);
  if (mapText === null) {
    notice.value = {
      title: `${fileName} could not be fetched.`,
      rest: 'See that the program still runs, then choose the yard again. You can also bring a map of your own.',
      problems: [],
    };
    return;
  }
  await openTexts({ mapText, findingsText }, { demo, fileName });
}

/** Opens files the user brings: a map, findings, or both. Whatever is wrong with them is shown, and nothing is lost. */
export async function openFiles(files: readonly File[]): Promise<void> {
  const read = await Promise.all(files.map(async (file) => ({ name: file.name, text: await file.text() })));
  const found = read.find(({ text }) => isFindings(text));
  const map = read.find((each) => each !== found);
  if (map) {
    await openTexts({ mapText: map.text, findingsText: found?.text ?? null }, { demo: null, fileName: map.name });
  } else if (found) await openFindings(found.text, found.name);
}

/** Findings are told from a map by what is in them; a file that is neither is left to the map reader to explain. */
export function isFindings(text: string): boolean {
  try {
    const value: unknown = JSON.parse(text.replace(/^\uFEFF/, ''));
    return typeof value === 'object' && value !== null && 'findings' in value;
  } catch {
    return false;
  }
}

async function openTexts(
  texts: { mapText: string; findingsText: string | null },
  from: Pick<OpenYard, 'demo' | 'fileName'>,
): Promise<void> {
  const outcome = await ask('open', texts);
  if (!outcome) return;
  if ('failed' in outcome) return tellFault(outcome.failed);
  const { reply } = outcome;
  if (!reply.yard) return refuse(from.fileName, reply.mapProblems);
  const opened = reply.yard;
  batch(() => {
    notice.value = null;
    forgetPicks();
    sources.value = null;
    earlier.value = null;
    isOneSpill.value = false;
    sourcesProblems.value = [];
    showYard(opened, from);
    take(reply, reply.findingProblems, 'The findings');
  });
}

function refuse(fileName: string, problems: Replies['open']['mapProblems']): void {
  const errors = problems.filter(({ severity }) => severity === 'error');
  notice.value = {
    title: `${fileName} cannot be opened yet: ${errors.length} ${errors.length === 1 ? 'thing' : 'things'} to mend.`,
    rest: yard.value ? 'The yard you had is still here.' : 'Mend the file and bring it again, or choose a demo yard.',
    problems: errors,
  };
}

async function openFindings(text: string, fileName: string): Promise<void> {
  const outcome = await ask('findings', { text });
  if (!outcome) return;
  if ('failed' in outcome) return tellFault(outcome.failed);
  const { findings, problems } = outcome.reply;
  batch(() => {
    notice.value = null;
    if (findings.length === 0 && problems.length > 0) {
      notice.value = {
        title: `Nothing in ${fileName} fits this map.`,
        rest: 'The findings you had are still here.',
        problems,
      };
    } else take(outcome.reply, problems, fileName);
  });
}

function take(
  read: Pick<Replies['findings'], 'findings' | 'amounts'>,
  problems: Replies['findings']['problems'],
  title: string,
): void {
  if (!yard.value) return;
  forgetSteps();
  takeFindings(read, yard.value, new Date());
  if (problems.length > 0) {
    const count = problems.length === 1 ? 'one thing' : `${problems.length} things`;
    notice.value = {
      title: `${title}: ${count} could not be used.`,
      rest: asked.value ? 'The rest is counted.' : 'Mend the file and bring it again.',
      problems,
    };
  }
}
