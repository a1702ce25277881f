import { batch } from '@preact/signals';
import { otherFormat, parseJson } from '../../../site-map/index.ts';
import { ask } from '../compute/ask.ts';
import type { Replies } from '../compute/protocol.ts';
import { showFault } from './current-answers.ts';
import type { KeptYard } from './device-stores.ts';
import { addingAt, asked, earlier, isOneSpill, sources, sourcesProblems, takeFindings } from './finding.ts';
import { leaveForms } from './form-values.ts';
import { replaceKeptFindings, takeUpFindings } from './kept-findings.ts';
import { takeUpParts } from './kept-parts.ts';
import { keepYard, keptYard, yardOfMark } from './kept-yard.ts';
import { forgetPicks } from './picked.ts';
import { forgetPlan } from './plan.ts';
import { forgetSteps } from './said.ts';
import { isClockOn } from './spill.ts';
import { say } from './voice.ts';
import { setWalkerPlace } from './walker-place.ts';
import { DEMO_YARDS, type DemoYard, notice, type OpenYard, showYard, yard, yardMark } from './yard.ts';

/** A file of the program's own, or null where there is none. */
async function fetchFile(path: string): Promise<ArrayBuffer | null> {
  try {
    const response = await fetch(path);
    return response.ok ? await response.arrayBuffer() : null;
  } catch {
    return null;
  }
}

const textOf = (bytes: ArrayBuffer) => new TextDecoder().decode(bytes);

const VERSION_DIGITS = 12;

/** The first hex digits of the SHA-256 of a file; null where the browser computes none, as over plain http from another machine. */
export async function versionOf(bytes: ArrayBuffer): Promise<string | null> {
  if (!globalThis.crypto?.subtle) return null;
  const hash = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return [...hash]
    .map((byte) => byte.toString(16).padStart(2, '0'))
    .join('')
    .slice(0, VERSION_DIGITS);
}

/** Opens the yard that an address names, else the one that was open last on this device, else the first demo yard. */
export async function openFirstYard(word: string | null): Promise<void> {
  if (word !== null) await openYardOf(word);
  if (!yard.value) await openKept(await keptYard());
  if (!yard.value) await openDemo(DEMO_YARDS[0]);
}

/** Opens the yard that a word of an address means, where this device has it; else the one on screen stays. */
export async function openYardOf(word: string): Promise<void> {
  const demo = DEMO_YARDS.find((id) => id === word);
  await openKept(demo ? { demo } : await yardOfMark(word));
}

async function openKept(kept: KeptYard | null): Promise<void> {
  if (kept && 'map' in kept) await openMap(kept.map, kept.findings, { demo: null, fileName: kept.fileName });
  else if (kept) await openDemo(kept.demo);
}

/** Opens a demo yard with its findings. One that cannot be fetched is said so, and the yard on screen stays. */
export async function openDemo(demo: DemoYard): Promise<void> {
  const fileName = `${demo}.geojson`;
  const [map, found] = await Promise.all([
    fetchFile(`site-maps/${fileName}`),
    fetchFile(`site-maps/${demo}.findings.json`),
  ]);
  if (map === null) {
    notice.value = {
      title: say('state.demo-not-fetched', { file: fileName }),
      rest: say('state.demo-not-fetched-do'),
      problems: [],
    };
    return;
  }
  await openMap(map, found && textOf(found), { demo, fileName });
}

/** Opens files the user brings: a map, findings, or both. Whatever is wrong with them is shown, and nothing is lost. */
export async function openFiles(files: readonly File[]): Promise<void> {
  const read = await Promise.all(
    files.map(async (file) => {
      const bytes = await file.arrayBuffer();
      return { name: file.name, bytes, text: textOf(bytes) };
    }),
  );
  for (const { name, bytes } of read) {
    const other = otherFormat(new Uint8Array(bytes));
    if (other) return refuse(name, [other]);
  }
  const found = read.find(({ text }) => isFindings(text));
  const map = read.find((each) => each !== found);
  if (map) {
    await openMap(map.bytes, found?.text ?? null, { demo: null, fileName: map.name }, { isBrought: true });
  } else if (found) await openFindings(found.text, found.name);
}

/** Findings are told from a map by what is in them; a file that is neither is left to the map reader to explain. */
export function isFindings(text: string): boolean {
  const { value } = parseJson(text, 'warn');
  return typeof value === 'object' && value !== null && 'findings' in value;
}

async function openMap(
  bytes: ArrayBuffer,
  findingsText: string | null,
  from: Pick<OpenYard, 'demo' | 'fileName'>,
  { isBrought = false } = {},
): Promise<void> {
  if (isClockOn.value) {
    notice.value = {
      title: say('address.clock-runs'),
      rest: say('state.clock-before-map'),
      problems: [],
    };
    return;
  }
  const version = await versionOf(bytes);
  const mapText = textOf(bytes);
  const outcome = await ask('open', { mapText, findingsText });
  if (!outcome) return;
  if ('failed' in outcome) return showFault(outcome.failed);
  const { reply } = outcome;
  if (!reply.yard) return refuse(from.fileName, reply.mapProblems);
  const opened = reply.yard;
  batch(() => {
    notice.value = null;
    forgetPicks();
    sources.value = null;
    earlier.value = null;
    isOneSpill.value = false;
    setWalkerPlace(null);
    addingAt.value = null;
    sourcesProblems.value = [];
    showYard(opened, { ...from, mapText, version });
    forgetPlan();
    leaveForms();
    take(reply, reply.findingProblems, null);
    takeUpParts();
    // Findings that are brought take the place of those that were kept; a map alone is the same yard, mended.
    if (isBrought && findingsText !== null) replaceKeptFindings();
    else takeUpFindings();
  });
  const kept = from.demo ? { demo: from.demo } : { fileName: from.fileName, map: bytes, findings: findingsText };
  void keepYard(kept, yardMark.value);
}

function refuse(fileName: string, problems: Replies['open']['mapProblems']): void {
  const errors = problems.filter(({ severity }) => severity === 'error');
  notice.value = {
    title: say('state.map-refused', { file: fileName, count: errors.length }),
    rest: say(yard.value ? 'state.yard-still-here' : 'state.mend-map'),
    problems: errors,
  };
}

async function openFindings(text: string, fileName: string): Promise<void> {
  const outcome = await ask('findings', { text });
  if (!outcome) return;
  if ('failed' in outcome) return showFault(outcome.failed);
  const { findings, problems } = outcome.reply;
  batch(() => {
    notice.value = null;
    if (findings.length === 0 && problems.length > 0) {
      notice.value = {
        title: say('state.nothing-fits', { file: fileName }),
        rest: say('state.findings-still-here'),
        problems,
      };
    } else {
      take(outcome.reply, problems, fileName);
      replaceKeptFindings();
    }
  });
}

function take(
  read: Pick<Replies['findings'], 'findings' | 'amounts'>,
  problems: Replies['findings']['problems'],
  fileName: string | null,
): void {
  if (!yard.value) return;
  forgetSteps();
  takeFindings(read, yard.value, new Date());
  if (problems.length > 0) {
    const count = problems.length;
    notice.value = {
      title:
        fileName === null
          ? say('state.findings-left-out', { count })
          : say('state.file-left-out', { file: fileName, count }),
      rest: say(asked.value ? 'state.rest-counted' : 'state.mend-findings'),
      problems,
    };
  }
}
