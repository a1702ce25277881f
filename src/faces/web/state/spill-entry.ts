import type { BlockAnswer } from '../../../block/index.ts';
import { type EntryId, type EntryOf, isEntryId } from '../../../log-book/index.ts';
import { isoTime, type SiteMap } from '../../../site-map/index.ts';
import type { ReportFacts } from '../../../spill/index.ts';
import { siteWord } from '../../../words/index.ts';
import type { SpillFacts } from './spill.ts';
import type { StepStanding } from './spill-steps.ts';
import { say } from './voice.ts';

/** Who was called, and when. */
export interface Called {
  role: string;
  name: string;
  phone: string;
  time: number;
}

/** All that an entry about a spill is made of. */
export interface SpillRecord {
  /** UUIDv7 of the entry. */
  id: EntryId;
  /** When the oil began to run, in ms. */
  startedAt: number;
  facts: Pick<SpillFacts, 'place' | 'litres' | 'isStill' | 'overMinutes' | 'fluid' | 'rainMmPerH'>;
  plan: BlockAnswer['plan'];
  /** How the steps stand that somebody has answered. */
  steps: readonly StepStanding[];
  called: readonly Called[];
  /** What somebody has said of how far it got. */
  reached: ReportFacts;
  /** The number that an authority gave the report; empty where none has. */
  reference: string;
}

/** Writes a spill down for the log book. `by` is whoever was there. */
export function spillEntry(
  {
    id,
    startedAt,
    facts: { place, litres, isStill, overMinutes, fluid, rainMmPerH },
    plan,
    steps,
    called,
    reached: { reachedWaterOrPublicDrain: reachedWater, madeSheen, onBareGround },
    reference,
  }: SpillRecord,
  { site, by }: { site: SiteMap['site']; by: string },
): EntryOf<'spill'> {
  const timeOf = <T extends { time: number }>(each: T) => ({ ...each, time: isoTime(each.time, site.timeZone) });
  const saidOf = (is: StepStanding['is']) =>
    steps.flatMap(({ is: said, at, control, time }) => (said === is ? [timeOf({ at, control, time })] : []));
  return {
    id,
    site: siteWord(site.name ?? ''),
    kind: 'spill',
    at: isoTime(startedAt, site.timeZone),
    by: by.trim() || 'not named',
    body: {
      ...place,
      litres,
      ...(isStill ? { isStill } : {}),
      ...(overMinutes === null ? {} : { overMinutes }),
      // The log book asks for one; that it was not known stands beside it.
      fluid: fluid === 'unknown' ? 'other' : fluid,
      ...(fluid === 'unknown' ? { note: say('state.fluid-unknown') } : {}),
      rainMmPerH,
      plan,
      placed: saidOf('placed'),
      cannot: saidOf('cannot'),
      gonePast: saidOf('gone-past'),
      called: called.map(timeOf),
      ...(reachedWater === undefined ? {} : { reachedWater }),
      ...(madeSheen === undefined ? {} : { madeSheen }),
      ...(onBareGround === undefined ? {} : { onBareGround }),
      ...(reference.trim() === '' ? {} : { reference: reference.trim() }),
    },
    photos: [],
  };
}

/** A UUID of version 7 (RFC 9562 §5.7): 48 bits of time in ms, then chance. `random` gives at least 10 bytes. */
export function uuidV7(ms: number, random: Uint8Array): EntryId {
  const bytes = new Uint8Array(16);
  bytes.set(random.subarray(0, 10), 6);
  for (let at = 0; at < 6; at++) bytes[at] = Math.floor(ms / 256 ** (5 - at)) % 256;
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
  const id = hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, '$1-$2-$3-$4-$5');
  if (!isEntryId(id)) throw new Error(`${id} is no id of an entry`);
  return id;
}
