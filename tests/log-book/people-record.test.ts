import { describe, expect, test } from 'vitest';
import {
  canonicalText,
  checkPeopleRecord,
  olderCopiesAccepted,
  type PeopleChange,
  type PeopleHead,
  peopleRecordProblems,
  readPeopleEvent,
  type StoredPeopleEvent,
  sealPeopleChange,
  unrecordedPeople,
} from '../../src/log-book/index.ts';
import { english } from '../support/english.ts';
import { sha256 } from './made.ts';

const HASH = 'd'.repeat(64);
const CHANGES: PeopleChange[] = [
  { event: 'begun', people: [{ name: 'A. Vale', role: 'viewer' }] },
  { event: 'added', name: 'M. Lund', role: 'manager' },
  { event: 'added', name: 'J. Ortega', role: 'crew' },
  { event: 'role-changed', name: 'A. Vale', role: 'crew', before: 'viewer' },
  { event: 'password-changed', name: 'M. Lund' },
  { event: 'token-made', name: 'M. Lund', token: 'gauge', role: 'viewer' },
  { event: 'token-ended', name: 'M. Lund', token: 'gauge' },
  { event: 'sign-ins-refused', hour: '2026-06-01T08:00Z', count: 3, people: [{ name: 'M. Lund', count: 2 }] },
  { event: 'older-copy-accepted', lost: [{ chain: 'tarn-lane', seq: 7, hash: HASH }] },
  { event: 'removed', name: 'J. Ortega', role: 'crew' },
];

/** The record of these changes, one after the other. */
function recordOf(changes: readonly PeopleChange[]): { stored: StoredPeopleEvent[]; head: PeopleHead } {
  const stored: StoredPeopleEvent[] = [];
  let head: PeopleHead = { seq: 0, hash: null };
  for (const change of changes) {
    const seal = { seq: head.seq + 1, at: '2026-06-01T08:20:00Z', account: 'M. Lund', previous: head.hash };
    const { text, hash } = sealPeopleChange(change, seal, sha256);
    head = { seq: seal.seq, hash };
    stored.push({ seq: seal.seq, text });
  }
  return { stored, head };
}
const { stored, head } = recordOf(CHANGES);
const messages = (rows: readonly StoredPeopleEvent[], end: PeopleHead = head) =>
  checkPeopleRecord(rows, end, sha256).problems.map(({ message }) =>
    english(message).replace('the record of people: ', ''),
  );

describe('the record of people', () => {
  test('is sound as it was written, and says who may sign in', () => {
    const { problems, roles } = checkPeopleRecord(stored, head, sha256);
    expect(problems).toEqual([]);
    expect([...roles].sort()).toEqual([
      ['A. Vale', 'crew'],
      ['M. Lund', 'manager'],
    ]);
    expect(
      peopleRecordProblems(
        stored.map(({ text }) => text),
        sha256,
      ),
    ).toEqual([]);
    expect(checkPeopleRecord([], { seq: 0, hash: null }, sha256).problems).toEqual([]);
    expect(peopleRecordProblems([], sha256)).toEqual([]);
  });

  test('holds each event as it happened, over the SHA-256 of its RFC 8785 text without the hash', () => {
    stored.forEach(({ text }, at) => {
      const read = readPeopleEvent(text);
      expect(read).toMatchObject({ ...CHANGES[at], seq: at + 1, account: 'M. Lund', at: '2026-06-01T08:20:00Z' });
      const { hash, ...rest } = JSON.parse(text);
      expect(hash).toBe(sha256(Buffer.from(canonicalText(rest))));
      expect(read?.previous).toBe(at === 0 ? null : JSON.parse(stored[at - 1].text).hash);
    });
  });

  test('tells every change of a text, also where its own hash was made anew', () => {
    const rewritten = (at: number, change: object, isSealed: boolean) => {
      const { hash, ...rest } = { ...JSON.parse(stored[at].text), ...change };
      const text = canonicalText({ ...rest, hash: isSealed ? sha256(Buffer.from(canonicalText(rest))) : hash });
      return stored.with(at, { seq: at + 1, text });
    };
    expect(messages(rewritten(2, { role: 'manager' }, false))).toEqual(['event 3 is not as it was written']);
    expect(messages(rewritten(2, { role: 'manager' }, true))).toEqual(['event 4 does not follow the one before it']);
    expect(messages(rewritten(9, { role: 'viewer' }, true))).toEqual(['its head is not the hash of its last event']);
    expect(messages(rewritten(2, { seq: 4 }, true))[0]).toBe('event 3 is not as it was written');
    expect(messages(stored.with(2, { seq: 3, text: ` ${stored[2].text}` }))).toEqual([
      'event 3 is not as it was written',
    ]);
  });

  test('tells what is missing, cut off, or cannot be read', () => {
    expect(messages(stored.slice(1))[0]).toBe('event 1 is missing');
    expect(messages([...stored.slice(0, 2), ...stored.slice(3)])).toEqual([
      'event 3 is missing',
      'event 4 does not follow the one before it',
    ]);
    expect(messages(stored.slice(0, 8))).toEqual(['it ends at 8, but its head says 10']);
    expect(messages([])).toEqual(['it ends at 0, but its head says 10']);
    expect(messages(stored.with(9, { seq: 10, text: 'null' }))).toEqual([
      'the text of event 10 cannot be read any more',
      'its head is not the hash of its last event',
    ]);
    const faults = checkPeopleRecord(stored.slice(1), head, sha256).problems;
    for (const { code, cure } of faults)
      expect([code, english(cure)]).toEqual([
        'chain-broken',
        'compare it with an export made before, and find out who changed it',
      ]);
  });

  test('that comes in an export is looked through by itself', () => {
    const texts = stored.map(({ text }) => text);
    expect(peopleRecordProblems(texts.slice(0, 4), sha256)).toEqual([]);
    expect(peopleRecordProblems(texts.slice(1), sha256).length).toBeGreaterThan(0);
    expect(peopleRecordProblems(['', ...texts], sha256).length).toBeGreaterThan(0);
  });
});

describe('an event of it', () => {
  test('has the fields of its kind and no others', () => {
    const [, text] = stored.map((each) => each.text);
    const changed = (change: object) => readPeopleEvent(JSON.stringify({ ...JSON.parse(text), ...change }));
    expect(changed({})).not.toBeNull();
    for (const wrong of [
      { event: 'promoted' },
      { password: 'x' },
      { name: 3 },
      { role: undefined },
      { seq: 0 },
      { seq: 1.5 },
      { hash: 'x' },
      { hash: `${HASH}0` },
      { hash: `0${HASH}` },
      { previous: HASH.toUpperCase() },
      { account: 4 },
      { at: null },
    ])
      expect(changed(wrong), JSON.stringify(wrong)).toBeNull();
    expect(changed({ account: null, previous: null })).not.toBeNull();
    for (const none of ['', 'null', '[]', '{"event":']) expect(readPeopleEvent(none)).toBeNull();
  });

  test('counts sign-ins that were refused from one on', () => {
    const counted = (count: number, ofName: number) =>
      readPeopleEvent(
        recordOf([{ event: 'sign-ins-refused', hour: 'h', count, people: [{ name: 'A', count: ofName }] }]).stored[0]
          .text,
      );
    expect(counted(1, 1)).not.toBeNull();
    expect(counted(0, 1)).toBeNull();
    expect(counted(1, 0)).toBeNull();
  });

  test('that accepted an older copy says what that lacked', () => {
    expect(olderCopiesAccepted(stored)).toEqual([
      { at: '2026-06-01T08:20:00Z', lost: [{ chain: 'tarn-lane', seq: 7, hash: HASH }] },
    ]);
    expect(olderCopiesAccepted(stored.slice(0, 8))).toEqual([]);
  });
});

test('who may sign in against the record is told by name', () => {
  const { roles } = checkPeopleRecord(stored, head, sha256);
  const people = [
    { name: 'M. Lund', role: 'manager' },
    { name: 'A. Vale', role: 'manager' },
    { name: 'J. Ortega', role: 'crew' },
  ];
  expect(unrecordedPeople(roles, people.slice(0, 1))).toEqual([]);
  expect(unrecordedPeople(roles, people).map(({ message }) => english(message))).toEqual([
    'the record of people: A. Vale may sign in as manager, but nothing says who let them',
    'the record of people: J. Ortega may sign in as crew, but nothing says who let them',
  ]);
});
