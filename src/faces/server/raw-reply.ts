import type { Readable } from 'node:stream';

/**
 * Answers with a text, bytes or a stream as they are. A route's own type of answer is what its schema describes, and knows
 * nothing of what is sent as it is.
 */
export function sendRaw<R extends { type(type: string): R; send(payload: never): R }>(
  reply: R,
  type: string,
  body: string | Uint8Array | Readable,
): R {
  return reply.type(type).send(body as never);
}
