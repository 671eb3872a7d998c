import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { shareOut } from '@frostmoot/contract';
import type { Browser, BrowserContext, Locator, Page } from 'playwright-core';
import type { z } from 'zod';
import type { Client } from '../api/harness.ts';
import {
  axeFindings,
  launch,
  openWindow,
  picture,
  settled,
  sidewaysScroll,
  signInQuietly,
  type Visit,
} from './chromium.ts';
import { coordinator, DEMO_NOW, startDemo, type DemoApp } from './demo-app.ts';
import { bringToSharing, setPolicy } from './sharing-stage.ts';

type ShareOut = z.infer<typeof shareOut>;

let api: DemoApp;
let browser: Browser;
let who: Client;
let base: string;
let roundId: string;
const windows: { context: BrowserContext; errors: string[] }[] = [];
beforeAll(async () => {
  api = await startDemo();
  browser = await launch();
  who = await api.signInAs(coordinator);
  ({ base, roundId } = await bringToSharing(who));
  await setPolicy(who, base, { claimPolicy: 'before' });
}, 180_000);
afterAll(async () => {
  for (const { context } of windows) await context.close();
  await browser.close();
  await api.stop();
});

async function phoneOf(email: string, visit: Visit = {}): Promise<Page> {
  const opened = await openWindow(browser, api.url, { size: 'phone', now: DEMO_NOW, ...visit });
  windows.push(opened);
  await signInQuietly(opened.context, api.url, email);
  await opened.page.goto(`/rounds/${roundId}/share-out`);
  await settled(opened.page);
  return opened.page;
}

const read = (): Promise<ShareOut> => who.ok('GET', `${base}/rounds/${roundId}/share-out`);
const button = (where: Page | Locator, name: string): Locator => where.getByRole('button', { name, exact: true });
const row = (page: Page, code: string): Locator => page.locator('#pool li').filter({ hasText: code });

/** As somebody sees the page now: a picture, nothing over the edge, and what axe-core finds. */
async function judge(page: Page, name: string): Promise<void> {
  await settled(page);
  await picture(page, name);
  expect(await sidewaysScroll(page)).toBe(0);
  expect(await axeFindings(page)).toEqual([]);
}

describe('claims of two households on two phones', () => {
  let tobias: Page;
  let maud: Page;
  let early: ShareOut['pool'][number];

  it('wait until the coordinator opens them', async () => {
    const page = await phoneOf(coordinator);
    await page.getByLabel('Open from').fill('2026-11-25T10:00');
    await page.getByLabel('Open until').fill('2026-11-27T20:00');
    await button(page, 'Save the times').click();
    await page.getByText('The times for claims are saved.').waitFor();
    expect((await read()).window).toEqual({
      opensAt: '2026-11-25T09:00:00.000Z',
      closesAt: '2026-11-27T19:00:00.000Z',
    });
    await judge(page, 'claims-1-window-phone');
  }, 120_000);

  it('give a container to one before the share-out, and tell the other who has it', async () => {
    tobias = await phoneOf('tobias@quarry-row.example');
    maud = await phoneOf('maud@quarry-row.example', { look: 'dark' });
    await tobias.getByText(/^Claims are open until/).waitFor();
    const { pool } = await read();
    const first = pool.find(({ roundNumber }) => roundNumber === 3);
    if (!first) throw new Error('Nothing is there to be claimed');
    early = first;
    const claim = `Claim this one: ${early.dish}, ${early.code}`;
    await Promise.all([button(tobias, claim).waitFor(), button(maud, claim).waitFor()]);
    // Maud's phone has not heard of it yet when she presses.
    let letThrough: () => void = () => undefined;
    const claimed = new Promise<void>((resolve) => (letThrough = resolve));
    await maud.route('**/claim', async (route) => {
      await claimed;
      await route.continue();
    });
    await button(maud, claim).click();
    await button(tobias, claim).click();
    await tobias.getByText(`${early.dish} is yours.`).waitFor();
    letThrough();
    await maud
      .getByRole('alert')
      .getByText(/Oduya claimed it on/)
      .waitFor();
    await row(maud, early.code).getByText('Claimed by Oduya').waitFor();
    expect(await button(maud, claim).count()).toBe(0);
    await judge(maud, 'claims-2-told-who-has-it-phone-dark');
    await judge(tobias, 'claims-2-mine-phone');
  }, 120_000);

  it('are kept to by the share-out', async () => {
    const proposed = await who.ok<ShareOut>('POST', `${base}/rounds/${roundId}/share-out`);
    await who.ok('POST', `${base}/share-outs/${proposed.shareOutId}/confirm`, undefined, {
      ifMatch: proposed.version ?? 0,
    });
    const { parts } = await read();
    const oduya = parts.find(({ household }) => household.name === 'Oduya');
    expect(oduya?.containers.find(({ id }) => id === early.id)?.claim).toBe('claimed');
    // Both phones follow by themselves.
    await button(tobias, `Release ${early.dish}, ${early.code}`).waitFor();
    await maud.getByRole('heading', { name: 'Waiting for a dish' }).waitFor();
  }, 120_000);

  it('keep what is released for the household that waits, and for nobody else', async () => {
    await button(maud, `Wait for ${early.dish}`).click();
    await maud.getByText(`You wait for ${early.dish}.`).waitFor();
    await tobias.getByText('Fennimore, number 1 in line').waitFor();
    await judge(maud, 'claims-3-waiting-phone-dark');
    await button(tobias, `Release ${early.dish}, ${early.code}`).click();
    await row(tobias, early.code)
      .getByText(/^Kept for Fennimore until/)
      .waitFor();
    expect(await button(tobias, `Claim this one: ${early.dish}, ${early.code}`).count()).toBe(0);
    await judge(tobias, 'claims-4-kept-phone');
    const claim = button(maud, `Claim this one: ${early.dish}, ${early.code}`);
    await claim.waitFor();
    await row(maud, early.code)
      .getByText(/^Kept for you until/)
      .waitFor();
    expect(await maud.getByText(/Oduya claimed it on/).count()).toBe(0);
    await judge(maud, 'claims-4-kept-for-us-phone-dark');
    await claim.click();
    await maud.getByText(`${early.dish} is yours.`).waitFor();
    const { parts, waiting } = await read();
    const fennimore = parts.find(({ household }) => household.name === 'Fennimore');
    expect(fennimore?.containers.map(({ id }) => id)).toContain(early.id);
    expect(waiting).toEqual([]);
  }, 120_000);

  it('read from right to left in Arabic', async () => {
    await judge(await phoneOf('maud@quarry-row.example', { language: 'ar' }), 'claims-5-phone-ar');
  }, 120_000);

  it('log no error in any window', () => {
    // A refused claim is an answer of the server that Chromium logs by itself.
    const own = windows.flatMap(({ errors }) => errors).filter((text) => !/status of 409/.test(text));
    expect(own).toEqual([]);
  });
});
