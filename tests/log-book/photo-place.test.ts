import exifr from 'exifr';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { photoType, withoutPlace } from '../../src/log-book/index.ts';
import { madePhoto } from './made.ts';
import {
  cleaned,
  exifOf,
  MARK,
  PLACE,
  placedHeic,
  placedJpeg,
  placedPng,
  placedWebp,
  placeOf,
  turns,
} from './placed.ts';

const pictures = [Buffer.from('the first picture, coded'), Buffer.from('and the second')] as const;

describe('what viewers see of a JPEG', () => {
  test.each(turns)('has no place, and is as much upright as before ($order, $orientation)', async (turn) => {
    const placed = placedJpeg(madePhoto(1), exifOf(turn));
    expect(await placeOf(placed)).toEqual([expect.closeTo(PLACE.latitude, 5), expect.closeTo(PLACE.longitude, 5)]);
    const clean = cleaned(placed);
    expect(await placeOf(clean)).toBeNull();
    expect(clean.includes(MARK)).toBe(false);
    expect((await exifr.orientation(clean)) ?? 1).toBe(turn.orientation);
    expect(clean.includes(madePhoto(1).subarray(2))).toBe(true);
  });

  test('is the same where there was nothing to take out, and cleaning twice does no more', () => {
    expect(cleaned(madePhoto(2))).toEqual(madePhoto(2));
    const once = cleaned(placedJpeg(madePhoto(1), exifOf({ orientation: 6 })));
    expect(cleaned(once)).toEqual(once);
  });

  test('keeps what says how its colours are meant', () => {
    const colour = ['JFIF\0..', 'ICC_PROFILE\0...', 'Adobe..'].map((text, at) =>
      Buffer.concat([Buffer.from([0xff, [0xe0, 0xe2, 0xee][at], 0, text.length + 2]), Buffer.from(text)]),
    );
    const [start, rest] = [madePhoto(1).subarray(0, 2), madePhoto(1).subarray(2)];
    const photo = Buffer.concat([start, ...colour, rest]);
    expect(cleaned(photo)).toEqual(photo);
  });
});

test('what viewers see of a HEIC has no place, and every picture stands where it stood', async () => {
  const placed = placedHeic(pictures, exifOf({ orientation: 6 }));
  expect(photoType(placed)).toBe('image/heic');
  expect(await placeOf(placed)).toEqual([expect.closeTo(PLACE.latitude, 5), expect.closeTo(PLACE.longitude, 5)]);
  const clean = cleaned(placed);
  expect(await placeOf(clean).catch(() => null)).toBeNull();
  for (const left of [MARK, 'GPSLatitude']) expect(clean.includes(left), left).toBe(false);
  expect(clean.length).toBe(placed.length);
  const [one, two] = pictures;
  for (const piece of [one.subarray(0, 10), one.subarray(10), two]) {
    const at = placed.indexOf(piece);
    expect(clean.subarray(at, at + piece.length)).toEqual(piece);
  }
  // The grid in idat, and the boxes that describe the pictures.
  for (const name of ['hdlr', 'pitm', 'iinf', 'iloc', 'idat']) {
    const at = placed.indexOf(name) - 4;
    const end = at + placed.readUInt32BE(at);
    expect(clean.subarray(at, end), name).toEqual(placed.subarray(at, end));
  }
});

describe('bytes that are not what they say', () => {
  const exif = exifOf({ orientation: 6 });
  const png = Buffer.concat([
    Buffer.from('\x89PNG\r\n\x1a\n', 'latin1'),
    Buffer.from([0, 0, 0, 13]),
    Buffer.from('IHDR'),
    Buffer.alloc(17),
    Buffer.alloc(4),
    Buffer.from('IEND'),
    Buffer.alloc(4),
  ]);
  const webp = Buffer.concat([Buffer.from('RIFF\x10\0\0\0WEBPVP8 \x04\0\0\0', 'latin1'), Buffer.from('data')]);
  const sound = {
    jpeg: placedJpeg(madePhoto(1, 100), exif),
    png: placedPng(png, exif),
    webp: placedWebp(webp, exif, { width: 2, height: 2 }),
    heic: placedHeic(pictures, exif),
  };

  test('a photo whose lengths lead past its end is not shown', () => {
    for (const [name, photo] of Object.entries(sound)) {
      expect(withoutPlace(photo), name).not.toBeNull();
      // The JPEG is cut within its first segment; of the others nothing may be missing before the end of the picture.
      expect(withoutPlace(photo.subarray(0, name === 'jpeg' ? 100 : photo.length / 2)), name).toBeNull();
    }
    for (const text of ['', 'GIF89a', '<svg/>', '\xff\xd8\xff', '\x89PNG\r\n\x1a\n', 'RIFF....WEBP', '....ftypheic'])
      expect(withoutPlace(Buffer.from(text, 'latin1')), text).toBeNull();
  });

  test('an item of a HEIC that stands in another file, or in no piece that can be found, is not shown', () => {
    const at = sound.heic.indexOf('iloc') + 4;
    // Version 0 has no place for how the place is meant, 3 is unknown; sizes of 0 or 5 bytes say nothing; item 1 in another file.
    for (const [offset, value] of [
      [0, 3],
      [4, 0x40],
      [4, 0x54],
      [13, 1],
      [11, 2],
    ]) {
      const changed = Buffer.from(sound.heic);
      changed[at + offset] = value;
      expect(withoutPlace(changed), `${offset}: ${value}`).toBeNull();
    }
  });

  test('never throws, never hangs, and never gives out more than it got', { timeout: 60_000 }, () => {
    const change = fc.record({ at: fc.nat(), value: fc.nat(255) });
    const mutated = fc
      .tuple(fc.constantFrom(...Object.values(sound)), fc.array(change, { maxLength: 12 }), fc.nat())
      .map(([photo, changes, cut]) => {
        const bytes = Buffer.from(photo);
        for (const { at, value } of changes) bytes[at % bytes.length] = value;
        return bytes.subarray(0, cut % 3 === 0 ? cut % bytes.length : bytes.length);
      });
    const starts = Object.values(sound).map((photo) => photo.subarray(0, 24));
    const random = fc
      .tuple(fc.constantFrom(...starts), fc.uint8Array({ maxLength: 400 }))
      .map(([start, rest]) => Buffer.concat([start, rest]));
    fc.assert(
      fc.property(fc.oneof(mutated, random), (bytes) => {
        const before = Buffer.from(bytes);
        const clean = withoutPlace(bytes);
        expect(bytes.equals(before)).toBe(true);
        if (clean === null) return;
        expect(clean.length).toBeLessThanOrEqual(bytes.length + 64);
        expect(photoType(clean)).toBe(photoType(bytes));
      }),
      { numRuns: 5000 },
    );
  });

  test('the worst that 12 MB can say is read once', () => {
    const size = 12 * 2 ** 20;
    const repeat = (start: Buffer, part: Buffer) => Buffer.concat([start, Buffer.alloc(size - start.length, part)]);
    const iloc = sound.heic.indexOf('iloc');
    // Every item of the list is the first picture, again and again.
    const items = Buffer.from(sound.heic.subarray(iloc + 12, iloc + 12 + 24));
    const cases = [
      repeat(madePhoto(1).subarray(0, 6), Buffer.from([0xff])),
      repeat(madePhoto(1).subarray(0, 2), Buffer.from([0xff, 0xdd, 0, 2])),
      repeat(png.subarray(0, 33), Buffer.from([0, 0, 0, 0, 0x74, 0x52, 0x4e, 0x53, 0, 0, 0, 0])),
      repeat(sound.heic.subarray(0, 24), Buffer.from([0, 0, 0, 8, 0x66, 0x72, 0x65, 0x65])),
      repeat(sound.heic.subarray(0, iloc + 12), items),
    ];
    for (const bytes of cases) withoutPlace(bytes);
  });
});
