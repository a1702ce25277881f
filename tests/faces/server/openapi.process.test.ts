import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createConfig, lintFromString } from '@redocly/openapi-core';
import type { FastifyInstance } from 'fastify';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { buildApp } from '../../../src/faces/server/app.ts';
import { ENTRY_KINDS } from '../../../src/log-book/index.ts';
import { type LogBook, openLogStore } from '../../../src/store/index.ts';

let [app, book]: [FastifyInstance, LogBook] = [undefined as never, undefined as never];
let document: ReturnType<typeof described>;
const folder = mkdtempSync(join(tmpdir(), 'oilshed-openapi-'));
beforeAll(async () => {
  book = await openLogStore({ folder });
  app = await buildApp(process.cwd(), book);
  document = described(await app.inject('/api/openapi.json'));
});
afterAll(async () => {
  await app.close();
  await book.close();
  rmSync(folder, { recursive: true, force: true });
});

interface Operation {
  operationId: string;
  security: Record<string, string[]>[];
  responses: Record<string, { content?: Record<string, { schema: Partial<Schema> }> }>;
  requestBody?: { content: Record<string, { schema: { $ref: string } }> };
}
interface Schema {
  $ref: string;
  properties: Record<string, Schema & { const?: string; enum?: string[]; items?: { allOf: Schema[] } }>;
  anyOf?: Schema[];
  required: string[];
  oneOf: Schema[];
  discriminator: { propertyName: string; mapping: Record<string, string> };
}
const described = (reply: { json(): unknown }) =>
  reply.json() as {
    openapi: string;
    paths: Record<string, Record<string, Operation>>;
    components: { schemas: Record<string, Schema>; securitySchemes: Record<string, object> };
  };
const operations = () =>
  Object.entries(document.paths).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]) => ({ route: `${method.toUpperCase()} ${path}`, ...operation })),
  );

describe('the description of the API', () => {
  test('is OpenAPI 3.1, and has every route but its own', () => {
    expect(document.openapi).toBe('3.1.0');
    const lines = app.printRoutes({ commonPrefix: false }).split('\n');
    const served = lines.flatMap((line) =>
      /\*|openapi/.test(line) ? [] : (line.match(/\b(GET|POST|PUT|DELETE|PATCH)\b/g) ?? []),
    );
    expect(served.length).toBeGreaterThan(15);
    expect(operations()).toHaveLength(served.length);
  });

  test('passes the recommended rules of Redocly, without a warning', async () => {
    const config = await createConfig({ extends: ['recommended'] });
    const problems = await lintFromString({ source: JSON.stringify(document), config });
    expect(problems.map(({ ruleId, message, location }) => `${ruleId}: ${message} ${location[0]?.pointer}`)).toEqual(
      [],
    );
    // And would not, were there something to find.
    const [first] = Object.keys(document.paths);
    const broken = { ...document, paths: { [first]: { get: { responses: { 200: { description: 'x' } } } } } };
    const found = await lintFromString({ source: JSON.stringify(broken), config });
    expect(found.map(({ ruleId }) => ruleId)).toEqual(
      expect.arrayContaining(['operation-summary', 'operation-4xx-response']),
    );
  });

  test('names each operation, once, and says how each may be refused', () => {
    const ids = operations().map(({ operationId }) => operationId);
    expect(ids.length).toBeGreaterThan(15);
    expect(new Set(ids).size).toBe(ids.length);
    for (const { route, operationId, responses } of operations()) {
      expect(operationId, route).toMatch(/^[a-z][A-Za-z]+$/);
      for (const status of ['4XX', '5XX'])
        expect(responses[status].content?.['application/problem+json'].schema.$ref, route).toBe(
          '#/components/schemas/ProblemDetails',
        );
    }
    expect(document.components.schemas.ProblemDetails.required).toContain('code');
  });

  test('says how each is signed in to: what it says is what the server asks for', async () => {
    expect(document.components.securitySchemes).toMatchObject({
      session: { type: 'apiKey', in: 'cookie', name: 'oilshed-session' },
      token: { type: 'http', scheme: 'bearer' },
    });
    await book.people.add({ name: 'M. Lund', role: 'manager', password: 'seven lids deep, and one more' });
    for (const { route, security } of operations()) {
      const [method, path] = route.split(' ');
      const isOpen = security.length === 0;
      const reply = await app.inject({ method: method as 'GET', url: path.replaceAll(/\{\w+\}/g, 'x') });
      if (isOpen) expect(reply.statusCode, route).not.toBe(401);
      else expect(reply.statusCode, route).toBe(401);
    }
    const security = (route: string) => operations().find((each) => each.route === route)?.security;
    expect(security('GET /api/calendar.ics')).toEqual([{ session: [] }, { token: [] }, { calendarKey: [] }]);
    expect(security('POST /api/entries')).toEqual([{ session: [] }, { token: [] }]);
    expect(security('PUT /api/password')).toEqual([{ session: [] }]);
  });

  test('has the body of each kind of entry, told apart by kind, for what is sent and for what is read', () => {
    const { schemas } = document.components;
    const nameOf = (ref: string) => ref.replace('#/components/schemas/', '');
    const sent = document.paths['/api/entries'].post.requestBody?.content['application/json'].schema.$ref ?? '';
    const listed = document.paths['/api/entries'].get.responses['200'].content?.['application/json'].schema;
    const read = listed?.properties?.entries.items?.allOf[0].$ref ?? '';
    for (const ref of [sent, read]) {
      const { discriminator, oneOf } = schemas[nameOf(ref)];
      expect(discriminator.propertyName).toBe('kind');
      expect(Object.keys(discriminator.mapping).sort()).toEqual([...ENTRY_KINDS].sort());
      expect(Object.values(discriminator.mapping).sort()).toEqual(oneOf.map(({ $ref }) => $ref).sort());
      for (const [kind, each] of Object.entries(discriminator.mapping)) {
        const { properties, required } = schemas[nameOf(each)];
        expect(properties.kind.const ?? properties.kind.enum?.[0]).toBe(kind);
        // A finding has a form for each of the things that it can say.
        for (const form of properties.body.anyOf ?? [properties.body])
          expect(Object.keys(form.properties).length, kind).toBeGreaterThan(0);
        expect(required, kind).toEqual(expect.arrayContaining(['id', 'site', 'kind', 'at', 'by', 'body']));
      }
    }
    expect(schemas[nameOf(sent)].oneOf).toHaveLength(ENTRY_KINDS.length);
  });
});
