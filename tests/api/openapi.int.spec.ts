import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { Validator } from '@seriousme/openapi-schema-validator';
import { readFileSync } from 'node:fs';
import { buildCooperative } from '../builders/cooperative.ts';
import { startApi, type Api, type Client } from './harness.ts';

interface Parameter {
  name: string;
  in: string;
  required?: boolean;
}
interface Operation {
  operationId?: string;
  security?: unknown[];
  parameters?: Parameter[];
  requestBody?: { content: Record<string, unknown> };
  responses: Record<string, { content?: Record<string, { schema: { $ref?: string } }> }>;
}
interface Document {
  openapi: string;
  paths: Record<string, Record<string, Operation>>;
}

describe('the OpenAPI document', () => {
  let api: Api;
  let document: Document;
  let operations: { name: string; method: string; operation: Operation }[];
  beforeAll(async () => {
    api = await startApi();
    document = await api.client().ok<Document>('GET', '/openapi.json');
    operations = Object.entries(document.paths).flatMap(([path, item]) =>
      Object.entries(item).map(([method, operation]) => ({ name: `${method} ${path}`, method, operation })),
    );
  });
  afterAll(() => api.stop());

  it('is the one that is committed; npm run openapi writes it', () => {
    const committed = new URL('../../packages/contract/openapi/openapi.json', import.meta.url);
    expect(JSON.parse(readFileSync(committed, 'utf8'))).toEqual(document);
  });

  it('is valid by the schema of OpenAPI 3.1', async () => {
    const result = await new Validator().validate({ ...structuredClone(document) });
    expect(result).toMatchObject({ valid: true });
    expect(document.openapi).toBe('3.1.0');
  });

  it('names every operation once', () => {
    const ids = operations.map(({ operation }) => operation.operationId);
    expect(ids.every((id) => id !== undefined && /^[a-z][A-Za-z]+$/.test(id))).toBe(true);
    expect(new Set(ids).size).toBe(ids.length);
    expect(ids.length).toBeGreaterThan(55);
  });

  it('has every refusal as a problem document, and a success with a schema or none at all', () => {
    for (const { name, operation } of operations) {
      for (const [status, { content }] of Object.entries(operation.responses)) {
        const types = Object.keys(content ?? {});
        if (status === '204') expect([name, types]).toEqual([name, []]);
        else if (/^2/.test(status)) expect([name, types.length]).toEqual([name, 1]);
        else {
          expect([name, status, types]).toEqual([name, status, ['application/problem+json']]);
          expect(content?.['application/problem+json']?.schema.$ref).toBe('#/components/schemas/Problem');
        }
      }
    }
  });

  it('asks every write for a key, except signing in and out, and every path for its ids', () => {
    for (const { name, method, operation } of operations) {
      const required = (operation.parameters ?? [])
        .filter((parameter) => parameter.required)
        .map((parameter) => parameter.name);
      const keyed = method !== 'get' && !['signIn', 'signOut'].includes(operation.operationId ?? '');
      expect([name, required.includes('Idempotency-Key')]).toEqual([name, keyed]);
      for (const [, id] of name.matchAll(/\{(\w+)\}/g))
        expect([name, required]).toEqual([name, expect.arrayContaining([id])]);
    }
  });

  it('asks for a session wherever the API does, and the API for a key wherever the document does', async () => {
    const cooperative = await buildCooperative(api);
    for (const { name, method, operation } of operations) {
      if (operation.operationId === 'streamEvents') continue;
      const verb = method.toUpperCase() as 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE';
      const path = (name.split(' ')[1] ?? '')
        .replace('/api', '')
        .replace('{cooperativeId}', cooperative.id)
        .replace(/\{\w+\}/g, '01900000-0000-7000-8000-000000000000');
      const call = (who: Client) => who.call(verb, path, verb === 'GET' ? undefined : {}, { key: null });
      expect([name, (await call(api.client())).status === 401]).toEqual([name, operation.security !== undefined]);
      const keyed = operation.parameters?.some((parameter) => parameter.name === 'Idempotency-Key') === true;
      const { body } = await call(api.client(cooperative.coordinator.cookie));
      expect([name, body?.['code'] === 'idempotency-key-missing']).toEqual([name, keyed]);
    }
  });

  it('can be read as a page that needs no script', async () => {
    const page = await api.client().call('GET', '/docs');
    expect(page.headers.get('content-type')).toBe('text/html; charset=utf-8');
    expect(page.text).not.toContain('<script');
    for (const { operation } of operations) expect(page.text).toContain(`id="${operation.operationId}"`);
    const style = await api.client().call('GET', '/docs.css');
    expect(style.headers.get('content-type')).toBe('text/css; charset=utf-8');
  });

  it('stands beside signs of life', async () => {
    expect((await api.client().call('GET', '/health/live')).body).toEqual({ status: 'ok' });
    expect((await api.client().call('GET', '/health/ready')).body).toEqual({ status: 'ok' });
  });
});
