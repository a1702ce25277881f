import { openDB } from 'idb';

/** What the browser keeps on this device: the yard opened last and some before it, photos of forms, what was read of the log book by site, copies of it that were put aside, entries that wait to be sent by id. */
const STORES = ['yard', 'draft', 'book', 'copy', 'waiting'] as const;
type Store = (typeof STORES)[number];

async function withDatabase<T>(work: (database: Awaited<ReturnType<typeof openDB>>) => Promise<T>): Promise<T> {
  const database = await openDB('oilshed', 4, {
    upgrade(made) {
      for (const store of STORES) if (!made.objectStoreNames.contains(store)) made.createObjectStore(store);
    },
    // Another tab with a newer program wants to bring it up to date.
    blocking: () => database.close(),
  });
  try {
    return await work(database);
  } finally {
    database.close();
  }
}

/** Keeps a value; throws where the browser keeps nothing or has no room. */
export const putOnDevice = (store: Store, key: string, value: unknown): Promise<unknown> =>
  withDatabase((database) => database.put(store, value, key));

export const fromDevice = (store: Store, key: string): Promise<unknown> =>
  withDatabase((database) => database.get(store, key));

export const allOnDevice = (store: Store): Promise<unknown[]> => withDatabase((database) => database.getAll(store));

export const dropFromDevice = (store: Store, key: string): Promise<void> =>
  withDatabase((database) => database.delete(store, key));

export const clearOnDevice = (store: Store): Promise<void> => withDatabase((database) => database.clear(store));

/** Takes all of it away. */
export const clearDevice = async (): Promise<void> => {
  for (const store of STORES) await clearOnDevice(store);
};
