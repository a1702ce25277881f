import { type Browser, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { photoType } from '../../src/log-book/index.ts';
import { cleaned, exifOf, MARK, PLACE, placedJpeg, placedPng, placedWebp, placeOf, turns } from './placed.ts';

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
