import exifr from 'exifr';
import fc from 'fast-check';
import { type Browser, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { photoType, withoutPlace } from '../../src/log-book/index.ts';
import { madePhoto } from './made.ts';
import { exifOf, MARK, PLACE, placedHeic, placedJpeg, placedPng, placedWebp } from './placed.ts';

const cleaned = (photo: Uint8Array) => {
  const clean = withoutPlace(photo);
  expect(clean).not.toBeNull();
  return Buffer.from(clean ?? []);
};
/** The place by exifr, a reader of Exif and XMP that is not ours; null where it finds none. */
const placeOf = async (photo: Buffer) => {
  const { latitude, longitude } = (await exifr.parse(photo, { xmp: true, iptc: true })) ?? {};
  return latitude === undefined ? null : [latitude, longitude];
};
const pictures = [Buffer.from('the first picture, coded'), Buffer.from('and the second')] as const;
const orders = ['II', 'MM'] as const;
const orientations = [1, 3, 6, 8];
const turns = orders.flatMap((order) => orientations.map((orientation) => ({ order, orientation })));

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

describe('in a browser', () => {
  const SIZE = { width: 48, height: 32 };
  let browser: Browser;
  let page: Page;
  beforeAll(async () => {
    browser = await chromium.launch({
      executablePath: process.env.CHROMIUM_PATH ?? '/usr/bin/chromium',
      args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking'],
    });
    page = await browser.newPage();
  });
  afterAll(() => browser?.close());

  /** A photo with a different colour in each corner, by the browser's own encoder. */
  async function drawn(type: string): Promise<Buffer> {
    const url = await page.evaluate(
      ([kind, { width, height }]) => {
        const canvas = Object.assign(document.createElement('canvas'), { width, height });
        const pen = canvas.getContext('2d') as CanvasRenderingContext2D;
        ['#c33', '#3c3', '#33c', '#cc3'].forEach((colour, at) => {
          pen.fillStyle = colour;
          pen.fillRect((at % 2) * (width / 2), Math.floor(at / 2) * (height / 2), width / 2, height / 2);
        });
        return canvas.toDataURL(kind, 0.9);
      },
      [type, SIZE] as const,
    );
    return Buffer.from(url.split(',')[1], 'base64');
  }

  /** Its size and every pixel, the right way up, as an `<img>` shows it. */
  async function shown(photo: Buffer, type: string) {
    const seen = await page.evaluate(
      async (url) => {
        const image = new Image();
        image.src = url;
        await image.decode();
        const { naturalWidth: width, naturalHeight: height } = image;
        const canvas = Object.assign(document.createElement('canvas'), { width, height });
        const pen = canvas.getContext('2d') as CanvasRenderingContext2D;
        pen.drawImage(image, 0, 0);
        return { width, height, pixels: [...pen.getImageData(0, 0, width, height).data].join(' ') };
      },
      `data:${type};base64,${photo.toString('base64')}`,
    );
    return seen;
  }

  test.each([
    { type: 'image/jpeg', place: placedJpeg },
    { type: 'image/png', place: placedPng },
    { type: 'image/webp', place: (photo: Buffer, exif: Buffer) => placedWebp(photo, exif, SIZE) },
  ])('a cleaned $type shows the same pixels, turned as before', async ({ type, place }) => {
    const plain = await drawn(type);
    expect(photoType(plain)).toBe(type);
    const upright = await shown(plain, type);
    for (const turn of turns) {
      const placed = place(plain, exifOf(turn));
      const clean = cleaned(placed);
      expect(photoType(clean)).toBe(type);
      expect(placed.includes(MARK)).toBe(true);
      for (const left of [MARK, 'GPSLatitude']) expect(clean.includes(left), left).toBe(false);
      // exifr reads no WebP.
      if (type !== 'image/webp') {
        expect(await placeOf(placed)).toEqual([expect.closeTo(PLACE.latitude, 5), expect.closeTo(PLACE.longitude, 5)]);
        expect(await placeOf(clean)).toBeNull();
      }
      const before = await shown(placed, type);
      expect(await shown(clean, type)).toEqual(before);
      if (turn.orientation === 1) expect(before).toEqual(upright);
      if (type === 'image/jpeg' && turn.orientation > 4)
        expect([before.width, before.height]).toEqual([SIZE.height, SIZE.width]);
      expect(cleaned(clean)).toEqual(clean);
    }
    const asDrawn = cleaned(plain);
    expect(await shown(asDrawn, type)).toEqual(upright);
  });
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
