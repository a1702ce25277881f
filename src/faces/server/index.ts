/** The web app and the log book over HTTP. */
export type { Https } from './app.ts';
export { isOpenToOthers, listen, NoManager } from './listen.ts';
export { securityLog } from './security-log.ts';
export { isThisMachine } from './this-machine.ts';
