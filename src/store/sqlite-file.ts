import { closeSync, openSync, readSync, type Stats, statSync } from 'node:fs';
import { type Told, told } from '../catalogue/index.ts';

/** The head of an SQLite file (sqlite.org/fileformat.html §1.3): its name, its pages' size and, big-endian, their number. */
const HEAD_BYTES = 100;
const NAME = 'SQLite format 3\0';
const PAGE_SIZE_AT = 16;
const CHANGES_AT = 24;
const PAGES_AT = 28;
const PAGES_COUNTED_AT = 92;

/**
 * What is wrong with a database's file beneath a program that has it open, which SQLite itself may not see for long: it
 * reads on in a file that was taken away, and what it has read already. `opened` is the file as it was. Null where
 * nothing shows in its name and head; O(1).
 */
export function faultOfFile(file: string, opened: Stats): Told | null {
  const now = statSync(file, { throwIfNoEntry: false });
  if (!now) return told('store.sqlite-gone');
  if (now.ino !== opened.ino) return told('store.sqlite-replaced');
  const head = headOf(file);
  if (head.toString('latin1', 0, NAME.length) !== NAME) return told('store.sqlite-no-database');
  // 1 stands for 65,536; the number of pages holds where it was counted at the last change.
  const pageSize = head.readUInt16BE(PAGE_SIZE_AT) === 1 ? 65_536 : head.readUInt16BE(PAGE_SIZE_AT);
  const isCounted = head.readUInt32BE(CHANGES_AT) === head.readUInt32BE(PAGES_COUNTED_AT);
  return isCounted && now.size < head.readUInt32BE(PAGES_AT) * pageSize ? told('store.sqlite-cut') : null;
}

function headOf(file: string): Buffer {
  const bytes = Buffer.alloc(HEAD_BYTES);
  const handle = openSync(file, 'r');
  try {
    readSync(handle, bytes, 0, HEAD_BYTES, 0);
    return bytes;
  } finally {
    closeSync(handle);
  }
}
