import { strToU8, zipSync } from 'fflate';
import { describe, expect, test } from 'vitest';
import { BadZip, unzipPart, type ZipPart, zipParts } from '../../../src/faces/cli/unzip.ts';
import { english } from '../../support/english.ts';

const MB = 2 ** 20;
const LINE = '{"id":"0197218a-3c5e-7d61-9b0a-4f2c81d7e6a3"}\n';
const zip = zipSync({ 'entries.jsonl': strToU8(LINE.repeat(500)), 'photos/a': [Uint8Array.of(1, 2, 3), { level: 0 }] });
const partOf = (bytes: Uint8Array, name: string) => zipParts(bytes).find((part) => part.name === name) as ZipPart;
const read = (bytes: Uint8Array, name: string, most = MB) => unzipPart(bytes, partOf(bytes, name), most);

/** Why a zip is not read, in English. */
function refusal(work: () => unknown): string {
  try {
    work();
  } catch (error) {
    if (error instanceof BadZip) return english(error.told);
    throw error;
  }
  return 'it was read';
}

/** A copy with a 32-bit number of the central directory's entry of a file written over. */
function patched(name: string, offset: number, value: number): Uint8Array {
  const copy = zip.slice();
  const at = Buffer.from(copy.buffer).lastIndexOf(name) - 46;
  new DataView(copy.buffer).setUint32(at + offset, value, true);
  return copy;
}

describe('a zip', () => {
  test('gives back its files, deflated or stored', () => {
    expect(zipParts(zip).map(({ name }) => name)).toEqual(['entries.jsonl', 'photos/a']);
    expect(Buffer.from(read(zip, 'entries.jsonl')).toString()).toBe(LINE.repeat(500));
    expect([...read(zip, 'photos/a')]).toEqual([1, 2, 3]);
  });

  test('that unpacks to more than was asked for, or to 200 times its size, is refused before anything is unpacked', () => {
    expect(refusal(() => read(zip, 'entries.jsonl', 1000))).toContain(
      'entries.jsonl in it unpacks to 23 kB, over 1 kB',
    );
    const bomb = zipSync({ 'entries.jsonl': strToU8('a'.repeat(100 * MB)) });
    expect(bomb.length).toBeLessThan(MB / 2);
    const before = process.memoryUsage().arrayBuffers;
    expect(refusal(() => read(bomb, 'entries.jsonl', 512 * MB))).toMatch(/unpacks from \d+ kB to 100 MB/);
    expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(MB);
  });

  test('whose lengths or check sums are lies, or that is cut anywhere, is refused', () => {
    const length = 500 * LINE.length;
    for (const lie of [0, 100, length - 1, length + 1, MB])
      expect(refusal(() => read(patched('entries.jsonl', 24, lie), 'entries.jsonl'))).toContain('was changed or cut');
    expect(refusal(() => read(patched('entries.jsonl', 16, 1), 'entries.jsonl'))).toContain('was changed or cut');
    expect(refusal(() => read(patched('entries.jsonl', 20, 7), 'entries.jsonl'))).toContain('was changed or cut');
    expect(refusal(() => read(patched('entries.jsonl', 42, zip.length), 'entries.jsonl'))).toContain('is gone');
    for (let most = 0; most < zip.length; most++)
      expect(refusal(() => zipParts(zip.subarray(0, most)))).toMatch(/cut short/);
    expect(refusal(() => zipParts(Buffer.concat([zip, Buffer.from('x')])))).toContain('cut short');
    expect(refusal(() => zipParts(strToU8('not a zip at all, whatever it is called')))).toContain('it is no zip');
  });

  test('whose files lie on each other, so that a small one unpacks to anything, is refused', () => {
    const all = zipSync({ a: strToU8('a'.repeat(MB)), b: strToU8('a'.repeat(MB)) });
    const view = new DataView(all.buffer);
    const second = Buffer.from(all.buffer).lastIndexOf('b') - 46;
    // Both are said to begin at the first, and to reach over both.
    for (const at of [second, Buffer.from(all.buffer).lastIndexOf('a') - 46]) {
      view.setUint32(at + 42, 0, true);
      view.setUint32(at + 20, 1500, true);
    }
    expect(refusal(() => zipParts(all))).toContain('files in it lie on each other');
  });

  test('of 70,000 files has all of them, though its own count has 16 bits', () => {
    const names = Array.from({ length: 70_000 }, (_, at) => `photos/${at}`);
    const many = zipSync(Object.fromEntries(names.map((name) => [name, new Uint8Array()])), { level: 0 });
    expect(zipParts(many)).toHaveLength(70_000);
  });
});
