import { heicWithoutPlace } from './heic-place.ts';
import { photoType, text } from './photo.ts';

/** Room for the one thing that is written anew: which way up the photo is. */
const ROOM = 64;

const CLEANERS: Record<string, (bytes: Uint8Array, view: DataView) => Uint8Array | null> = {
  'image/jpeg': jpegWithoutPlace,
  'image/png': pngWithoutPlace,
  'image/webp': webpWithoutPlace,
  'image/heic': heicWithoutPlace,
};

/**
 * A photo as viewers may see it: the picture, its colours and which way up it is, and nothing else that was written into
 * the file. The place where it was taken may stand in Exif (GPS, but also a maker's notes), XMP, IPTC, comments or behind
 * the picture, so only what the picture needs is kept. Null where the bytes are no photo, or their structure cannot be
 * followed to its end. Never throws; O(bytes), whatever the bytes say.
 */
export function withoutPlace(bytes: Uint8Array): Uint8Array | null {
  const clean = CLEANERS[photoType(bytes) ?? ''];
  if (!clean) return null;
  try {
    return clean(bytes, new DataView(bytes.buffer, bytes.byteOffset, bytes.length));
  } catch (error) {
    // A length or a place past the end of the file.
    if (error instanceof RangeError) return null;
    throw error;
  }
}

/** Puts parts one after the other; together no more than `most` bytes. */
function collect(most: number) {
  const all = new Uint8Array(most);
  let length = 0;
  return {
    all,
    add(part: Uint8Array | readonly number[]): number {
      all.set(part, length);
      length += part.length;
      return length - part.length;
    },
    done: () => all.subarray(0, length),
  };
}

const UPRIGHT = 1;
const ORIENTATION_TAG = 0x0112;
const SHORT = 3;

/** Which way up a photo is, by its Exif block (Exif 2.32: a TIFF file of its own): 1 to 8, 1 where it does not say. */
function orientationOf(tiff: Uint8Array): number {
  const view = new DataView(tiff.buffer, tiff.byteOffset, tiff.length);
  const order = text(tiff, 0, 2);
  if (tiff.length < 8 || (order !== 'II' && order !== 'MM')) return UPRIGHT;
  const isLittle = order === 'II';
  const start = view.getUint32(4, isLittle);
  if (start + 2 > tiff.length) return UPRIGHT;
  const end = Math.min(tiff.length, start + 2 + 12 * view.getUint16(start, isLittle));
  for (let at = start + 2; at + 12 <= end; at += 12) {
    if (view.getUint16(at, isLittle) !== ORIENTATION_TAG || view.getUint16(at + 2, isLittle) !== SHORT) continue;
    const orientation = view.getUint16(at + 8, isLittle);
    return orientation >= 1 && orientation <= 8 ? orientation : UPRIGHT;
  }
  return UPRIGHT;
}

/** An Exif block that says which way up a photo is and nothing else: one directory with one entry. */
// biome-ignore format: a directory of TIFF, field by field
const exifBlock = (orientation: number) => [
  0x4d, 0x4d, 0, 42, 0, 0, 0, 8,
  0, 1,
  0x01, 0x12, 0, SHORT, 0, 0, 0, 1, 0, orientation, 0, 0,
  0, 0, 0, 0,
];

const EXIF_NAME = 'Exif\0\0';
const EXIF_NAME_BYTES = [...EXIF_NAME].map((character) => character.charCodeAt(0));

const START_OF_IMAGE = 0xd8;
const END_OF_IMAGE = 0xd9;
const START_OF_SCAN = 0xda;
const TEMPORARY = 0x01;
const APP1 = 0xe1;

/** Of the application segments, those that say how the picture's colours are meant. */
const COLOUR_SEGMENTS = new Map([
  [0xe0, 'JFIF\0'],
  [0xe2, 'ICC_PROFILE\0'],
  [0xee, 'Adobe'],
]);

/** The next marker of a JPEG at or after a place, past coded data and fill bytes; -1 where there is none. */
function nextMarker(bytes: Uint8Array, from: number): number {
  for (let at = bytes.indexOf(0xff, from); at >= 0; at = bytes.indexOf(0xff, at)) {
    const code = bytes[at + 1];
    if (code === undefined) return -1;
    const isRestart = code >= 0xd0 && code <= 0xd7;
    if (code !== 0 && code !== 0xff && !isRestart) return at;
    at += code === 0xff ? 1 : 2;
  }
  return -1;
}

/** JPEG, ITU-T T.81 annex B. What stands after the picture's end (a second picture, a film) goes too. */
function jpegWithoutPlace(bytes: Uint8Array, view: DataView): Uint8Array | null {
  const { add, done } = collect(bytes.length + ROOM);
  add(bytes.subarray(0, 2));
  let hasScan = false;
  let orientation = UPRIGHT;
  for (let at = nextMarker(bytes, 2); at >= 0; ) {
    const marker = bytes[at + 1];
    if (marker === END_OF_IMAGE) {
      add([0xff, END_OF_IMAGE]);
      break;
    }
    if (marker === START_OF_IMAGE || marker === TEMPORARY) {
      at = nextMarker(bytes, at + 2);
      continue;
    }
    const end = at + 2 + view.getUint16(at + 2);
    if (end < at + 4 || end > bytes.length) return null;
    const segment = bytes.subarray(at, end);
    if (marker === APP1 && orientation === UPRIGHT && text(segment, 4, 10) === EXIF_NAME) {
      orientation = orientationOf(segment.subarray(10));
      const block = [...EXIF_NAME_BYTES, ...exifBlock(orientation)];
      if (orientation !== UPRIGHT) add([0xff, APP1, 0, block.length + 2, ...block]);
    } else if (isPictureSegment(marker, segment)) add(segment);
    at = nextMarker(bytes, end);
    if (marker !== START_OF_SCAN) continue;
    hasScan = true;
    add(bytes.subarray(end, at < 0 ? bytes.length : at));
  }
  return hasScan ? done() : null;
}

/** Frames, tables, scans and the meaning of colours: what a decoder needs. */
function isPictureSegment(marker: number, segment: Uint8Array): boolean {
  const name = COLOUR_SEGMENTS.get(marker);
  if (name !== undefined) return text(segment, 4, 4 + name.length) === name;
  return marker >= 0xc0 && marker <= 0xdf;
}

/** Chunks that say how a PNG's pixels are meant, and the frames of one that moves; all whose name begins with a capital are needed. */
const PNG_CHUNKS = new Set(
  'cHRM gAMA iCCP sBIT sRGB cICP mDCV cLLI bKGD hIST tRNS pHYs sPLT acTL fcTL fdAT'.split(' '),
);

/** PNG, W3C third edition, §5. */
function pngWithoutPlace(bytes: Uint8Array, view: DataView): Uint8Array | null {
  const { add, done } = collect(bytes.length + ROOM);
  add(bytes.subarray(0, 8));
  let orientation = UPRIGHT;
  for (let at = 8; ; ) {
    const end = at + 12 + view.getUint32(at);
    if (end > bytes.length) return null;
    const name = text(bytes, at + 4, at + 8);
    if (name === 'eXIf' && orientation === UPRIGHT) {
      orientation = orientationOf(bytes.subarray(at + 8, end - 4));
      if (orientation !== UPRIGHT) add(pngExif(orientation));
    } else if (/^[A-Z]/.test(name) || PNG_CHUNKS.has(name)) add(bytes.subarray(at, end));
    if (name === 'IEND') return done();
    at = end;
  }
}

function pngExif(orientation: number): Uint8Array {
  const block = exifBlock(orientation);
  const chunk = Uint8Array.of(
    0,
    0,
    0,
    block.length,
    ...[...'eXIf'].map((letter) => letter.charCodeAt(0)),
    ...block,
    0,
    0,
    0,
    0,
  );
  new DataView(chunk.buffer).setUint32(chunk.length - 4, crc32(chunk.subarray(4, -4)));
  return chunk;
}

/** The check sum of a PNG's chunk. */
function crc32(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = (crc >>> 1) ^ (crc & 1 ? 0xedb88320 : 0);
  }
  return ~crc >>> 0;
}

const WEBP_CHUNKS = new Set(['VP8X', 'VP8 ', 'VP8L', 'ALPH', 'ANIM', 'ANMF', 'ICCP']);
/** Bits of VP8X that say that there is such a chunk. */
const [HAS_EXIF, HAS_XMP] = [0x08, 0x04];
const VP8X_LENGTH = 18;

/** WebP, RFC 9649 §2. */
function webpWithoutPlace(bytes: Uint8Array, view: DataView): Uint8Array | null {
  const { all, add, done } = collect(bytes.length + ROOM);
  const fileEnd = 8 + view.getUint32(4, true);
  if (fileEnd > bytes.length) return null;
  add(bytes.subarray(0, 12));
  let flagsAt = -1;
  for (let at = 12; at < fileEnd; ) {
    const length = view.getUint32(at + 4, true);
    const end = at + 8 + length;
    if (end > fileEnd) return null;
    const name = text(bytes, at, at + 4);
    const next = Math.min(end + (length % 2), fileEnd);
    if (name === 'VP8X') {
      if (at !== 12 || end - at < VP8X_LENGTH) return null;
      flagsAt = add(bytes.subarray(at, next)) + 8;
      all[flagsAt] &= ~(HAS_EXIF | HAS_XMP);
    } else if (name === 'EXIF' && flagsAt > 0 && !(all[flagsAt] & HAS_EXIF)) {
      const isNamed = text(bytes, at + 8, at + 14) === EXIF_NAME;
      const orientation = orientationOf(bytes.subarray(at + (isNamed ? 14 : 8), end));
      if (orientation !== UPRIGHT) {
        const block = exifBlock(orientation);
        add([...bytes.subarray(at, at + 4), block.length, 0, 0, 0, ...block]);
        all[flagsAt] |= HAS_EXIF;
      }
    } else if (WEBP_CHUNKS.has(name)) add(bytes.subarray(at, next));
    at = next;
  }
  const photo = done();
  new DataView(all.buffer).setUint32(4, photo.length - 8, true);
  return photo;
}
