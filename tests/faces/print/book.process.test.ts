import { expect, test } from 'vitest';
import { readBook } from '../../../src/faces/print/report/book.ts';
import type { LogStore } from '../../../src/store/index.ts';
import { idOf, siteOf } from '../../log-book/made.ts';

test('a book with an entry that cannot be read any more says which', async () => {
  const damaged = {
    async *pages() {
      yield [{ id: idOf(1), site: 'tarn-lane', seq: 1, text: '{"at":' }];
    },
  } as unknown as LogStore;
  await expect(readBook(damaged, { site: siteOf('tarn-lane'), seq: 1, hash: null })).rejects.toMatchObject({
    problem: {
      code: 'log-damaged',
      message: { told: 'log-book.entry-unreadable', values: { seq: '1', site: 'tarn-lane' } },
    },
  });
});
