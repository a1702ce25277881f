import type { FastifyInstance } from 'fastify';
import type { LogBook, Role } from '../../../src/store/index.ts';

/** Somebody of each role; none is a real person. */
export const MADE_PEOPLE = {
  viewer: { name: 'A. Vale', role: 'viewer', password: 'only looking at it' },
  crew: { name: 'J. Ortega', role: 'crew', password: 'oil floats on top' },
  manager: { name: 'M. Lund', role: 'manager', password: 'seven lids deep' },
} as const;

export async function addPeople({ people }: LogBook): Promise<void> {
  for (const person of Object.values(MADE_PEOPLE)) await people.add(person);
}

export const signIn = (app: FastifyInstance, payload: object, more = {}) =>
  app.inject({ method: 'POST', url: '/api/session', payload, ...more });

/** The header that a browser sends once somebody of this role has signed in. */
export async function cookieOf(app: FastifyInstance, role: Role): Promise<{ cookie: string }> {
  const [cookie] = (await signIn(app, MADE_PEOPLE[role])).cookies;
  return { cookie: `${cookie.name}=${cookie.value}` };
}
