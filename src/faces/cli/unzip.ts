import { crc32, inflateRawSync } from 'node:zlib';
import { type Told, told } from '../../catalogue/index.ts';

/** One file in a zip, as its central directory has it (APPNOTE.TXT 6.3.10 §4.3.12). */
export interface ZipPart {
  name: string;
  /** Bytes in the zip, and unpacked as the zip says: `unzipPart` holds it to that. */
  packedBytes: number;
  bytes: number;
  crc: number;
  /** Where its local header begins. */
  at: number;
  isDeflated: boolean;
}

/** A zip that is not read: why not, for use after its name. */
export class BadZip extends Error {
  readonly told: Told;
  constructor(why: Told) {
    super(why.told);
    this.told = why;
  }
}

const END = 0x06054b50;
const END_LENGTH = 22;
const LONGEST_COMMENT = 0xffff;
const CENTRAL = 0x02014b50;
const CENTRAL_LENGTH = 46;
const LOCAL = 0x04034b50;
const LOCAL_LENGTH = 30;
const ENCRYPTED = 1;
const [STORED, DEFLATED] = [0, 8];

/** What unpacks to more than this is held to a ratio: text with a hash in every line is packed some 10 to 1, a bomb 1,000 to 1. */
const FREE_BYTES = 64 * 2 ** 20;
const LARGEST_RATIO = 200;

/**
 * The files of a zip in the order of its central directory, which is read to its end: one that holds over 65,535 files
 * counts them wrong. Nothing is unpacked. Throws BadZip where the directory cannot be followed. O(files + comment).
 */
export function zipParts(zip: Uint8Array): ZipPart[] {
  const view = new DataView(zip.buffer, zip.byteOffset, zip.length);
  const end = endOf(view);
  const size = view.getUint32(end + 12, true);
  const start = view.getUint32(end + 16, true);
  if (start + size !== end) throw new BadZip(told('cli-errors.zip-cut'));
  const parts: ZipPart[] = [];
  for (let at = start; at < end; ) {
    if (at + CENTRAL_LENGTH > end || view.getUint32(at, true) !== CENTRAL) throw new BadZip(NOT_FOLLOWED);
    const nameLength = view.getUint16(at + 28, true);
    const next = at + CENTRAL_LENGTH + nameLength + view.getUint16(at + 30, true) + view.getUint16(at + 32, true);
    if (next > end) throw new BadZip(NOT_FOLLOWED);
    const name = new TextDecoder().decode(zip.subarray(at + CENTRAL_LENGTH, at + CENTRAL_LENGTH + nameLength));
    const method = view.getUint16(at + 10, true);
    const isPlain = (view.getUint16(at + 8, true) & ENCRYPTED) === 0 && (method === STORED || method === DEFLATED);
    if (!isPlain) throw new BadZip(told('cli-errors.zip-encrypted', { name }));
    parts.push({
      name,
      packedBytes: view.getUint32(at + 20, true),
      bytes: view.getUint32(at + 24, true),
      crc: view.getUint32(at + 16, true),
      at: view.getUint32(at + 42, true),
      isDeflated: method === DEFLATED,
    });
    at = next;
  }
  const packedBytes = parts.reduce((sum, part) => sum + part.packedBytes, 0);
  if (packedBytes > start) throw new BadZip(told('cli-errors.zip-overlap'));
  return parts;
}

const NOT_FOLLOWED = told('cli-errors.zip-list');

/** Where the end record of the central directory stands: before a comment that goes exactly to the end of the file. */
function endOf(view: DataView): number {
  const last = view.byteLength - END_LENGTH;
  for (let at = last; at >= Math.max(0, last - LONGEST_COMMENT); at--)
    if (view.getUint32(at, true) === END && view.getUint16(at + 20, true) === last - at) return at;
  throw new BadZip(told('cli-errors.zip-none'));
}

/**
 * A file of a zip, unpacked. Throws BadZip where it would be over `mostBytes`, by what the zip says before anything is
 * unpacked and by what comes out while it is; where it unpacks to so many times its packed bytes that it is made to fill
 * memory; and where its length or its check sum is not what the zip says. O(bytes), and never more memory than the zip says.
 */
export function unzipPart(zip: Uint8Array, part: ZipPart, mostBytes: number): Uint8Array {
  const { name, packedBytes, bytes, crc, at, isDeflated } = part;
  if (bytes > mostBytes)
    throw new BadZip(told('cli-errors.zip-too-large', { name, size: words(bytes), most: words(mostBytes) }));
  if (bytes > FREE_BYTES && bytes > packedBytes * LARGEST_RATIO)
    throw new BadZip(told('cli-errors.zip-bomb', { name, packed: words(packedBytes), size: words(bytes) }));
  const view = new DataView(zip.buffer, zip.byteOffset, zip.length);
  if (at + LOCAL_LENGTH > zip.length || view.getUint32(at, true) !== LOCAL)
    throw new BadZip(told('cli-errors.zip-gone', { name }));
  const start = at + LOCAL_LENGTH + view.getUint16(at + 26, true) + view.getUint16(at + 28, true);
  const packed = zip.subarray(start, start + packedBytes);
  const whole = packed.length === packedBytes && (isDeflated ? inflated(packed, bytes) : packed);
  if (!whole || whole.length !== bytes || crc32(whole) !== crc)
    throw new BadZip(told('cli-errors.zip-changed', { name }));
  return whole;
}

/** Null where this is not deflated data, or where more comes out than the directory says; it stops there. */
function inflated(packed: Uint8Array, bytes: number): Uint8Array | null {
  try {
    return inflateRawSync(packed, { maxOutputLength: Math.max(1, bytes) });
  } catch {
    return null;
  }
}

const words = (bytes: number) =>
  bytes < 2 ** 20 ? `${Math.ceil(bytes / 1024)} kB` : `${Math.round(bytes / 2 ** 20)} MB`;
