import { afterAll, test } from 'vitest';
import { expectNothingLost, expectNothingLostInPostgres, startKilling } from './nothing-lost.ts';

const { writer, postgres, stop } = await startKilling();
afterAll(stop);

test('nothing that was acknowledged is lost when writers are killed, 200 times over', () =>
  expectNothingLost({ count: 200, seed: 5, writer }));

test.skipIf(postgres === null)(
  'nor in PostgreSQL, when writers are killed 60 times and the server seven times under their hands',
  () => expectNothingLostInPostgres(postgres as NonNullable<typeof postgres>, { count: 60, writer }),
);
