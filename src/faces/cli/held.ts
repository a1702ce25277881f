import { newestDay } from '../../block/index.ts';
import type { Drainage } from '../../drainage/index.ts';
import { upkeepQuestion } from '../../log-book/index.ts';
import { dayIn, instantOf } from '../../site-map/index.ts';
import type { ModelFacts } from '../../spill/index.ts';
import { findUpkeep, roomsByReading } from '../../upkeep/index.ts';
import { type FindingsSource, loadFindings } from './findings.ts';

/** What a spill meets: the room that separators have by their last reading, and the newest day in map and findings. */
export interface Met {
  facts: ModelFacts;
  /** ISO; null where neither tells any. */
  newest: string | null;
}

/** What findings or the log book say of what structures hold; nothing where none are named. */
export function metIn(drainage: Drainage, source: FindingsSource | undefined): Met {
  const { map } = drainage;
  if (source === undefined) return { facts: {}, newest: newestDay(map) };
  const { timeZone = 'UTC' } = map.site;
  const findings = loadFindings(source, map);
  const ofBook = typeof source === 'string' ? {} : upkeepQuestion(source.entries, timeZone);
  const rooms = roomsByReading(findUpkeep(drainage, findings, ofBook).answer);
  const times = [
    ...findings.map(({ seenAtMs }) => seenAtMs),
    ...(typeof source === 'string' ? [] : source.entries.map(({ at }) => instantOf(at, timeZone) ?? 0)),
  ];
  const days = times.map((ms) => dayIn(ms, timeZone));
  const newest = [newestDay(map), ...days].reduce((a, b) => ((a ?? '') >= (b ?? '') ? a : b), null);
  return { facts: { roomOf: (id) => rooms.get(id) }, newest };
}
