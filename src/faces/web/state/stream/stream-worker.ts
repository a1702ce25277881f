import { joinElection } from './holder.ts';

/** One for all tabs, and there as long as one of them is. Its name is the address of the events. */
const { name } = self as unknown as SharedWorkerGlobalScope;

// Its word goes before that of any tab, and it waits for none of them.
joinElection(name, `a ${crypto.getRandomValues(new Uint32Array(2)).join('-')}`, () => 0);
