import type { FastifyReply, FastifyRequest } from 'fastify';
import { AT_THIS_MACHINE } from './caller.ts';

/**
 * Says how long a browser may keep a file that stands under its SHA-256; gives back whether it has it already. Where
 * people sign in it asks each time, so that a shared device shows nothing of it after they have signed out.
 */
export function isGivenAlready({ person, headers }: FastifyRequest, reply: FastifyReply, sha256: string): boolean {
  const tag = `"${sha256}"`;
  const keep = person === AT_THIS_MACHINE ? 'private, max-age=31536000, immutable' : 'private, no-cache';
  void reply.header('etag', tag).header('cache-control', keep);
  return String(headers['if-none-match']).includes(tag);
}
