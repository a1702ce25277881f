import swagger from '@fastify/swagger';
import type { FastifyInstance } from 'fastify';
import { createJsonSchemaTransform, createJsonSchemaTransformObject } from 'fastify-type-provider-zod';
import * as z from 'zod';
import { ENTRY_KINDS, entrySchema } from '../../log-book/index.ts';
import { CALENDAR } from './calendar-routes.ts';
import { problemDetailsSchema } from './problem-details.ts';
import { isSignedInOnly, leastRole } from './roles.ts';

/** Schemas that have a name of their own in the description. */
const schemaRegistry = z.registry<{ id: string; discriminator?: { propertyName: string } }>();
schemaRegistry.add(problemDetailsSchema, { id: 'ProblemDetails' });
schemaRegistry.add(entrySchema, { id: 'Entry', discriminator: { propertyName: 'kind' } });
/** "link-test" as "LinkTestEntry". */
const nameOf = (kind: string) => `${kind.replace(/(?:^|-)([a-z])/g, (_, letter: string) => letter.toUpperCase())}Entry`;
for (const option of entrySchema.options) schemaRegistry.add(option, { id: nameOf(option.shape.kind.value) });

const securitySchemes = {
  session: {
    type: 'apiKey',
    in: 'cookie',
    name: 'oilshed-session',
    description: 'What signing in sets; over https under the name __Host-oilshed-session.',
  },
  token: { type: 'http', scheme: 'bearer', description: 'A token for programs, made by whoever is signed in.' },
  calendarKey: { type: 'apiKey', in: 'query', name: 'key', description: 'That of calendar-address, with its name.' },
} as const;

const DESCRIPTION =
  'Entries, photos and maps of a log book. Where nobody signs in to it, programs of its own machine need no session and no ' +
  'token. Refusals are problem details (RFC 9457) with the codes of docs/errors.md.';

/** Sets up the description of the API in OpenAPI 3.1: routes that are registered after this, at this instance or below, are in it. */
export async function describeApi(app: FastifyInstance): Promise<void> {
  const transform = createJsonSchemaTransform({ schemaRegistry });
  const transformObject = createJsonSchemaTransformObject({ schemaRegistry });
  await app.register(swagger, {
    openapi: {
      openapi: '3.1.0',
      info: {
        title: 'Oilshed log book',
        version: '1',
        description: DESCRIPTION,
        license: { name: 'Apache-2.0', identifier: 'Apache-2.0' },
      },
      servers: [{ url: '/' }],
      components: { securitySchemes },
    },
    transform: (route) => {
      const described = transform(route);
      return { ...described, schema: { ...described.schema, security: securityOf(route.route.method, route.url) } };
    },
    transformObject: (document) => finished(transformObject(document)),
  });
}

/** How a route is signed in to, by the table of roles; nothing where it is for everybody. */
function securityOf(method: string | string[], path: string): Record<string, string[]>[] {
  const [each] = [method].flat();
  if (leastRole(each, path) === 'everybody') return [];
  if (isSignedInOnly(path)) return [{ session: [] }];
  return [{ session: [] }, { token: [] }, ...(path === CALENDAR ? [{ calendarKey: [] }] : [])];
}

type Document = ReturnType<ReturnType<typeof createJsonSchemaTransformObject>>;

/** Says which schema each kind of entry has, and takes out schemas that nothing refers to. */
function finished(document: Document): Document {
  const { schemas } = ('components' in document && document.components) || {};
  if (!schemas) return document;
  for (const schema of Object.values(schemas)) {
    if (!('discriminator' in schema) || !schema.discriminator) continue;
    const refs = (schema.oneOf ?? []).flatMap((each: object) => ('$ref' in each ? [String(each.$ref)] : []));
    const kindOf = (ref: string) => ENTRY_KINDS.find((kind) => nameIn(ref).startsWith(nameOf(kind))) ?? '';
    schema.discriminator.mapping = Object.fromEntries(refs.map((ref: string) => [kindOf(ref), ref]));
  }
  const used = new Set<string>();
  const texts = [JSON.stringify(document.paths)];
  for (let text = texts.pop(); text !== undefined; text = texts.pop())
    for (const [ref] of text.matchAll(/#\/components\/schemas\/\w+/g)) {
      const name = nameIn(ref);
      if (!used.has(name)) texts.push(JSON.stringify(schemas[name]));
      used.add(name);
    }
  for (const name of Object.keys(schemas)) if (!used.has(name)) delete schemas[name];
  return document;
}

const nameIn = (ref: string) => ref.slice('#/components/schemas/'.length);
