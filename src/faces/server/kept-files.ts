import type { FastifyReply, FastifyRequest } from 'fastify';
import { AT_THIS_MACHINE } from './caller.ts';

const tagOf = (sha256: string) => `"${sha256}"`;

/** Whether the browser already has this version of a file that is named by its SHA-256. */
export const isUnchanged = ({ headers }: FastifyRequest, sha256: string): boolean =>
  String(headers['if-none-match']).includes(tagOf(sha256));

/**
 * Sets how long a browser may keep a file that is named by its SHA-256. Where people sign in the browser has to ask each
 * time, so that a shared device shows nothing of it after they have signed out.
 */
export function setCacheHeaders({ person }: FastifyRequest, reply: FastifyReply, sha256: string): void {
  const keep = person === AT_THIS_MACHINE ? 'private, max-age=31536000, immutable' : 'private, no-cache';
  void reply.header('etag', tagOf(sha256)).header('cache-control', keep);
}
