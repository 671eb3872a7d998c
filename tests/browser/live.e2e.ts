import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { withClient } from '../../tools/database.mjs';
import type { Client } from '../api/harness.ts';
import { until } from '../builders/until.ts';
import { launch, openWindow, settled, signInQuietly } from './chromium.ts';
import { CountingProxy } from './counting-proxy.ts';
import { coordinator, startDemo, type DemoApp } from './demo-app.ts';

let api: DemoApp;
let proxy: CountingProxy;
let browser: Browser;
let context: BrowserContext;
let who: Client;
let households: string;
beforeAll(async () => {
  api = await startDemo();
  // What happened in the last minute is told again, and the demo has told of notices.
  await withClient(api.ownerUrl, (client) =>
    client.query("UPDATE outbox SET created_at = created_at - interval '2 minutes'"),
  );
  proxy = await CountingProxy.before(api.url);
  browser = await launch();
  const { client, base } = await api.signInAs(coordinator);
  who = client;
  households = `${base}/households`;
});
afterAll(async () => {
  await context.close();
  await browser.close();
  await proxy.stop();
  await api.stop();
});

const add = (name: string) => who.ok('POST', households, { name });
const shows = (page: Page, name: string) => page.getByText(name, { exact: true }).first().waitFor();

async function openTab(): Promise<{ page: Page; reads: string[] }> {
  const page = await context.newPage();
  const reads: string[] = [];
  await page.goto('/coordinator');
  await settled(page);
  page.on('request', (request) => {
    const { pathname } = new URL(request.url());
    if (pathname.startsWith('/api/') && !pathname.endsWith('/events')) reads.push(pathname);
  });
  return { page, reads };
}

describe('what is told live in one browser with two tabs', () => {
  let first: Page;
  let second: { page: Page; reads: string[] };

  it('comes over one connection for both', async () => {
    const opened = await openWindow(browser, proxy.url);
    context = opened.context;
    first = opened.page;
    await signInQuietly(context, proxy.url, coordinator);
    await first.goto('/coordinator');
    await settled(first);
    await until(() => proxy.streams === 1);
    second = await openTab();
    await add('Alderbrook');
    await Promise.all([shows(first, 'Alderbrook'), shows(second.page, 'Alderbrook')]);
    expect(proxy.streams).toBe(1);
    expect(proxy.asked).toEqual([{ after: null, lastEventId: null }]);
  });

  it('goes on after the last event when the line was cut', async () => {
    const letThrough = proxy.hold();
    proxy.cut();
    // The browser itself comes back, a few seconds later.
    await until(() => proxy.asked.length === 2);
    await add('Birchcombe');
    letThrough();
    await Promise.all([shows(first, 'Birchcombe'), shows(second.page, 'Birchcombe')]);
    expect(proxy.asked[1]?.lastEventId).toMatch(/^\d+$/);
    expect(proxy.streams).toBe(1);
  });

  it('is taken over by the other tab from where the closed one was, without reading everything again', async () => {
    const letThrough = proxy.hold();
    second.reads.length = 0;
    await first.close();
    await until(() => proxy.asked.length === 3 && proxy.streams === 1);
    await add('Cedarholt');
    letThrough();
    await shows(second.page, 'Cedarholt');
    expect(proxy.asked[2]?.after).toMatch(/^\d+$/);
    expect(BigInt(proxy.asked[2]?.after ?? 0)).toBeGreaterThan(BigInt(proxy.asked[1]?.lastEventId ?? 0));
    expect(proxy.asked[2]?.lastEventId).toBeNull();
    expect(proxy.streams).toBe(1);
    // Only what the missed events named: nothing has happened to notices.
    expect(second.reads.some((path) => path.endsWith('/households'))).toBe(true);
    expect(second.reads.filter((path) => path.endsWith('/notices'))).toEqual([]);
  });

  it('tells a tab that comes later where to go on, though nothing has happened since', async () => {
    const third = await openTab();
    const { after } = proxy.asked[2] ?? { after: null };
    await second.page.close();
    await until(() => proxy.asked.length === 4 && proxy.streams === 1);
    expect(BigInt(proxy.asked[3]?.after ?? 0)).toBeGreaterThan(BigInt(after ?? 0));
    await add('Dogwood End');
    await shows(third.page, 'Dogwood End');
  });
});
