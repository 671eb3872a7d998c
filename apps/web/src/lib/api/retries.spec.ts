import { afterEach, beforeEach, describe, expect, it, jest } from '@jest/globals';
import { fetchWithRetries } from './retries.ts';

const write = (headers: Record<string, string>) =>
  new Request('https://app.invalid/api/x', { method: 'POST', body: '{"a":1}', headers });

describe('fetchWithRetries', () => {
  const sent: { key: string | null; body: string }[] = [];
  let answers: (() => Response)[] = [];
  const realFetch = globalThis.fetch;
  const realNavigator = Object.getOwnPropertyDescriptor(globalThis, 'navigator');

  beforeEach(() => {
    sent.length = 0;
    Object.defineProperty(globalThis, 'navigator', { value: { onLine: true }, configurable: true });
    jest.spyOn(Math, 'random').mockReturnValue(0);
    globalThis.fetch = async (input) => {
      const request = input as Request;
      sent.push({ key: request.headers.get('Idempotency-Key'), body: await request.text() });
      const answer = answers.shift();
      if (!answer) throw new TypeError('connection reset');
      return answer();
    };
  });

  afterEach(() => {
    globalThis.fetch = realFetch;
    jest.restoreAllMocks();
    if (realNavigator) Object.defineProperty(globalThis, 'navigator', realNavigator);
    else delete (globalThis as { navigator?: unknown }).navigator;
  });

  it('sends a write again with the same key and body after a gateway gave up', async () => {
    answers = [() => new Response(null, { status: 503 }), () => new Response('{}', { status: 200 })];
    const response = await fetchWithRetries(write({ 'Idempotency-Key': 'k' }));
    expect(response.status).toBe(200);
    expect(sent).toEqual([
      { key: 'k', body: '{"a":1}' },
      { key: 'k', body: '{"a":1}' },
    ]);
  });

  it('does not send a write without a key again', async () => {
    answers = [() => new Response(null, { status: 503 })];
    expect((await fetchWithRetries(write({}))).status).toBe(503);
    expect(sent).toHaveLength(1);
  });

  it('does not send again what was refused', async () => {
    answers = [() => new Response(null, { status: 409 })];
    expect((await fetchWithRetries(write({ 'Idempotency-Key': 'k' }))).status).toBe(409);
    expect(sent).toHaveLength(1);
  });

  it('gives up after three broken connections', async () => {
    answers = [];
    await expect(fetchWithRetries(write({ 'Idempotency-Key': 'k' }))).rejects.toThrow('connection reset');
    expect(sent).toHaveLength(3);
  });
});
