import { batch, computed } from '@preact/signals';
import { languageChoice, unitsChoice } from './choices.ts';
import { addingAt, findings, openId } from './finding.ts';
import { logView, openWord, wordOf } from './log-view.ts';
import { lookChoice } from './look.ts';
import { ask, clearPick, isOnMap, pickedId, question, structureOf, zoneOf } from './picked.ts';
import { planPart } from './plan.ts';
import type { Route } from './route.ts';
import { choosePlace, chosenPlace, isClockOn, spillZone } from './spill.ts';
import { chooseSeparator, lookedAt } from './upkeep.ts';
import { say } from './voice.ts';
import { notice, yard, yardMark, yardName } from './yard.ts';

/** What is on screen, as an address. */
export const shown = computed((): Route => {
  const asked = question.value;
  const isFrom = asked === 'from';
  return {
    question: asked,
    subject: { from: () => null, block: spillWord, kits: planWord, full: () => lookedAt.value }[asked](),
    pick: pickedId.value,
    finding: isFrom ? openId.value : null,
    add: isFrom ? addingAt.value : null,
    open: logView.value && wordOf(logView.value),
    yard: yard.value?.demo ?? yardMark.value,
    lang: languageChoice.value.value,
    units: unitsChoice.value.value,
    look: lookChoice.value.value,
  };
});

const planWord = () => (planPart.value === 'kits' ? null : planPart.value);
function spillWord(): string | null {
  const place = chosenPlace.value;
  return place && ('zone' in place ? place.zone : `@${place.point.join(',')}`);
}

/** Tells what an address named and is not here. */
export const tell = (title: string, rest: string) => {
  notice.value = { title, rest, problems: [] };
};

/** Puts on screen what an address says. What it says from outside and is not here is told; on the way back it is passed over. */
export async function show(route: Route, isOwn: boolean): Promise<void> {
  batch(() => {
    const missing = [showPicked(route), showSubject(route, isOwn), showForm(route)].find((each) => each !== null);
    ask(route.question);
    if (missing && !isOwn) tell(...missing);
  });
  const isKnown = await openWord(route.open);
  if (!isKnown && !isOwn) tell(say('address.unknown'), say('address.choose-question'));
}

type Missing = [title: string, rest: string] | null;

function showSubject({ question: asked, subject }: Route, isOwn: boolean): Missing {
  if (asked === 'block') return showSpill(subject, isOwn);
  if (asked === 'kits' && (subject !== null || isOwn)) planPart.value = subject === 'measures' ? 'measures' : 'kits';
  if (asked !== 'full' || (subject === null && !isOwn)) return null;
  const isHere = subject !== null && structureOf(subject)?.kind === 'separator';
  chooseSeparator(isHere ? subject : null);
  return subject === null || isHere ? null : notOnMap('separator', subject);
}

const POINT = /^@(-?[\d.]+),(-?[\d.]+)$/;

function showSpill(word: string | null, isOwn: boolean): Missing {
  const [, lon, lat] = POINT.exec(word ?? '') ?? [];
  if (isClockOn.value) {
    return word === null || word === spillWord() || word === spillZone.value
      ? null
      : [say('address.clock-runs'), say('address.clock-other-zone')];
  }
  if (word === null) {
    if (isOwn) chosenPlace.value = null;
    return null;
  }
  if (lon !== undefined && lat !== undefined) choosePlace({ point: [Number(lon), Number(lat)] });
  else if (zoneOf(word)) choosePlace({ zone: word });
  else return notOnMap('zone', word);
  return null;
}

function showPicked({ pick: id }: Route): Missing {
  const isHere = id !== null && isOnMap(id);
  if (!isHere) clearPick();
  else {
    pickedId.value = id;
  }
  return id === null || isHere ? null : notOnMap('place', id);
}

function showForm({ question: asked, finding, add }: Route): Missing {
  if (asked !== 'from') return null;
  const isHere = findings.value.some(({ id }) => id === finding);
  openId.value = isHere ? finding : null;
  addingAt.value = add !== null && (structureOf(add) ?? zoneOf(add)) ? add : null;
  return finding === null || isHere ? null : [say('address.no-finding', { id: finding }), say('address.no-finding-do')];
}

const notOnMap = (kind: 'zone' | 'place' | 'separator', id: string): Missing => [
  say(`address.no-${kind}`, { yard: yardName.value, id }),
  say('address.other-card'),
];

/** Closes what lies over the answer: what is picked, else the form of a finding. */
export function closeTopmost(): void {
  if (pickedId.value !== null) clearPick();
  else if (question.value === 'from') {
    if (addingAt.value !== null) addingAt.value = null;
    else openId.value = null;
  }
}
