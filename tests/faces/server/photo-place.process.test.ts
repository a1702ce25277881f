import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import exifr from 'exifr';
import { expect, test } from 'vitest';
import { buildApp } from '../../../src/faces/server/app.ts';
import { openLogStore } from '../../../src/store/index.ts';
import { madePhoto } from '../../log-book/made.ts';
import { exifOf, placedJpeg } from '../../log-book/placed.ts';

test('a photo goes out without its place, while the book keeps it as it was sent; one that cannot be cleaned stays in', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-place-'));
  const store = await openLogStore({ folder });
  const app = await buildApp(process.cwd(), store);
  const send = async (payload: Buffer) => {
    const headers = { 'content-type': 'image/jpeg' };
    return (await app.inject({ method: 'POST', url: '/api/photos', headers, payload })).json().sha256 as string;
  };
  const see = (name: string) => app.inject({ method: 'GET', url: `/api/photos/${name}` });

  const placed = placedJpeg(madePhoto(1), exifOf({ orientation: 6 }));
  const name = await send(placed);
  const { statusCode, headers, rawPayload } = await see(name);
  expect([statusCode, headers['content-type']]).toEqual([200, 'image/jpeg']);
  expect((await exifr.gps(placed))?.latitude).toBeCloseTo(40.015, 5);
  expect(await exifr.gps(rawPayload)).toBeUndefined();
  expect(await exifr.orientation(rawPayload)).toBe(6);
  expect(store.photos.read(name)).toEqual(placed);

  const cut = await see(await send(placed.subarray(0, 100)));
  expect(cut.statusCode).toBe(415);
  expect(cut.json()).toMatchObject({ code: 'not-a-photo', detail: expect.stringContaining('see it in an export') });
  await app.close();
  await store.close();
  rmSync(folder, { recursive: true, force: true });
});
