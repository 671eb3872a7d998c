import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { kitchen, shareOut } from '@frostmoot/contract';
import type { Browser, BrowserContext, Locator, Page } from 'playwright-core';
import type { z } from 'zod';
import type { Client } from '../api/harness.ts';
import {
  axeFindings,
  holdUntilAllHaveSent,
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

type Kitchen = z.infer<typeof kitchen>;
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
  const ines = await api.signInAs(coordinator);
  ({ client: who, base } = ines);
  roundId = await bringToSharing(ines);
  // With one container more Fennimore would be too far ahead by the usual rule, and be passed over in the line.
  await setPolicy(who, base, { claimPolicy: 'before', claimAheadPortions: 6 });
});
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
  /** equal containers that both want */
  let group: ShareOut['pool'] = [];

  it('wait until the coordinator opens them', async () => {
    const later = { opensAt: '2026-11-26T09:00:00.000Z', closesAt: '2026-11-27T19:00:00.000Z' };
    await who.ok('PUT', `${base}/rounds/${roundId}/claim-window`, { window: later });
    const page = await phoneOf(coordinator);
    await page
      .locator('#pool')
      .getByRole('button', { name: /^Claim one/ })
      .first()
      .click();
    const refused = page.locator('.problem-box');
    await refused.getByText('They open on').waitFor();
    // The answer comes to where the reader is, although the pool is longer than the telephone is high.
    const box = await refused.boundingBox();
    expect(box && box.y >= 0 && box.y + box.height <= 844).toBe(true);
    await page.getByLabel('Open from').fill('2026-11-25T10:00');
    await page.getByLabel('Open until').fill('2026-11-27T20:00');
    await button(page, 'Save the times').click();
    await page.getByText('The times for claims are saved.').waitFor();
    expect((await read()).window).toEqual({
      opensAt: '2026-11-25T09:00:00.000Z',
      closesAt: '2026-11-27T19:00:00.000Z',
    });
    await judge(page, 'claims-1-window-phone');
  });

  it('stand by dish and size with how many are left, and give each of two who press at once one of them', async () => {
    tobias = await phoneOf('tobias@quarry-row.example');
    maud = await phoneOf('maud@quarry-row.example', { look: 'dark' });
    await tobias.getByText(/^Claims are open until/).waitFor();
    const { pool } = await read();
    const sizes = new Map<string, ShareOut['pool']>();
    for (const container of pool.filter(({ roundNumber }) => roundNumber === 3)) {
      const size = `${container.recipeId} ${container.portions}`;
      sizes.set(size, [...(sizes.get(size) ?? []), container]);
    }
    group = [...sizes.values()].sort((a, b) => b.length - a.length)[0] ?? [];
    const [{ dish, portions } = { dish: '', portions: 0 }] = group;
    const row = (page: Page) =>
      page.locator('#pool li').filter({ has: button(page, `Claim one: ${dish}, ${portions} portions`) });
    await row(tobias).getByText(`${group.length} of ${group.length} left`).waitFor();
    expect(await tobias.locator('#pool li').count()).toBeLessThan(pool.length);
    await judge(tobias, 'claims-2-groups-phone');
    const claim = `Claim one: ${dish}, ${portions} portions`;
    await holdUntilAllHaveSent([tobias, maud], '**/dish-claims');
    await Promise.all([button(tobias, claim).click(), button(maud, claim).click()]);
    await Promise.all([tobias, maud].map((page) => page.getByText(new RegExp(`^${dish} is yours: `)).waitFor()));
    await row(tobias)
      .getByText(`${group.length - 2} of ${group.length} left`)
      .waitFor();
    await row(tobias).getByText('Claimed by Fennimore (1)').waitFor();
    const { earlyClaims } = await read();
    const ofOduya = earlyClaims.find(({ household }) => household.name === 'Oduya');
    const mine = group.find(({ id }) => id === ofOduya?.containerId);
    if (!mine || earlyClaims.length !== 2) throw new Error('Each of the two should have a container');
    // Each is told the container that it was really given, and can take that back.
    for (const [page, name] of [
      [tobias, 'Oduya'],
      [maud, 'Fennimore'],
    ] as const) {
      const claimed = earlyClaims.find(({ household }) => household.name === name);
      const code = group.find(({ id }) => id === claimed?.containerId)?.code ?? '';
      const said = page.locator('.toast').filter({ hasText: `${dish} is yours: ${code}.` });
      expect([name, await said.count(), await button(said, 'Undo').count()]).toEqual([name, 1, 1]);
    }
    early = mine;
    await judge(maud, 'claims-2-mine-phone-dark');
  });

  it('go on when their batch is counted anew, and who loses one is told, like the person who counts', async () => {
    const { batches } = await who.ok<Kitchen>('GET', `${base}/rounds/${roundId}/kitchen`);
    const lotCode = early.code.replace(/-[^-]+$/, '');
    const batch = batches.find((one) => one.lotCode === lotCode);
    const { earlyClaims } = await read();
    const claims = earlyClaims.filter(({ containerId }) =>
      group.some(({ id, code }) => id === containerId && code.startsWith(`${lotCode}-`)),
    );
    const ines = await openWindow(browser, api.url, { size: 'laptop', now: DEMO_NOW });
    windows.push(ines);
    await signInQuietly(ines.context, api.url, coordinator);
    await ines.page.goto(`/rounds/${roundId}/cook?batch=${batch?.id}`);
    await ines.page.getByText(/^Claimed already:/).waitFor();
    await button(ines.page, 'Nothing can be kept of it').click();
    await ines.page.getByText(new RegExp(`^${claims.length} claims end with it: .*Fennimore`)).waitFor();
    await judge(ines.page, 'claims-2-throw-away-laptop');
    await button(ines.page, 'Keep it').click();
    const size = ines.page.getByRole('textbox', { name: `Containers of ${early.portions} portions` });
    await size.fill('1');
    await size.press('Tab');
    await picture(ines.page, 'claims-2-counted-again-laptop');
    await ines.page.getByRole('button', { name: /^Keep: / }).click();
    await ines.page.getByText('1 claim could not be kept').waitFor();
    await judge(ines.page, 'claims-2-lost-laptop');
    const kept = (await read()).earlyClaims.map(({ household }) => household.name);
    expect([claims.length, kept.length]).toEqual([2, 1]);
    const [loser, keeper] = kept[0] === 'Oduya' ? [maud, tobias] : [tobias, maud];
    await loser.goto('/notices');
    await loser.getByText(`A claim of yours on ${early.dish} could not be kept`).waitFor();
    await judge(loser, 'claims-2-told-phone');
    await keeper.goto('/notices');
    await settled(keeper);
    expect(await keeper.getByText(`A claim of yours on ${early.dish} could not be kept`).count()).toBe(0);
    // All of it is there after all, and Oduya has one again.
    await size.fill(String(group.length));
    await size.press('Tab');
    await ines.page.getByRole('button', { name: /^Keep: / }).click();
    await ines.page.getByText('1 claim could not be kept').waitFor({ state: 'detached' });
    const { client: oduya, householdId } = await api.signInAs('tobias@quarry-row.example');
    const { pool, earlyClaims: now } = await read();
    const own = now.find(({ household }) => household.name === 'Oduya');
    const free = pool.find(
      ({ id, recipeId }) => recipeId === early.recipeId && !now.some((one) => one.containerId === id),
    );
    if (!own) {
      await oduya.ok('POST', `${base}/containers/${free?.id}/claim`, { householdId });
    }
    early = pool.find(({ id }) => id === (own?.containerId ?? free?.id)) ?? early;
    for (const page of [tobias, maud]) {
      await page.goto(`/rounds/${roundId}/share-out`);
      await settled(page);
    }
  });

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
  });

  it('pass over in words whoever would be too far ahead, and let it keep its place', async () => {
    await setPolicy(who, base, { claimAheadPortions: 0 });
    await button(maud, `Stand in line for ${early.dish}`).last().click();
    await maud.getByText(`You wait for ${early.dish}.`).waitFor();
    await button(tobias, `Release ${early.dish}, ${early.code}`).click();
    await row(maud, early.code)
      .getByText(/^You are passed over for now and keep your place\. With it you would be .* ahead; 0 is the most/)
      .waitFor();
    await judge(maud, 'claims-3-passed-over-phone-dark');
    await button(tobias, `Claim this one: ${early.dish}, ${early.code}`).click();
    await button(tobias, `Release ${early.dish}, ${early.code}`).waitFor();
    await setPolicy(who, base, { claimAheadPortions: 6 });
    await Promise.all([tobias, maud].map(async (page) => page.reload()));
  });

  it('keep what is released for the household that waits, and for nobody else', async () => {
    await tobias.getByText('Fennimore, number 1 in line').waitFor();
    await maud.getByText('A household that would be more than 6 portions ahead with it').waitFor();
    await judge(maud, 'claims-3-waiting-phone-dark');
    await button(tobias, `Release ${early.dish}, ${early.code}`).click();
    await row(tobias, early.code)
      .getByText(/^Kept for Fennimore until/)
      .waitFor();
    expect(await button(tobias, `Claim this one: ${early.dish}, ${early.code}`).count()).toBe(0);
    await judge(tobias, 'claims-4-kept-phone');
    const claim = button(maud, `Claim this one: ${early.dish}, ${early.code}`);
    await claim.waitFor();
    await maud.goto('/notices');
    await maud.getByText(`${early.dish} is kept for you`).waitFor();
    await maud.goto(`/rounds/${roundId}/share-out`);
    await row(maud, early.code)
      .getByText(/^Kept for you until/)
      .waitFor();
    await judge(maud, 'claims-4-kept-for-us-phone-dark');
    await claim.click();
    await maud.getByText(`${early.dish} is yours: ${early.code}.`).waitFor();
    const { parts, waiting } = await read();
    const fennimore = parts.find(({ household }) => household.name === 'Fennimore');
    expect(fennimore?.containers.map(({ id }) => id)).toContain(early.id);
    expect(waiting).toEqual([]);
  });

  it('read from right to left in Arabic', async () => {
    await judge(await phoneOf('maud@quarry-row.example', { language: 'ar' }), 'claims-5-phone-ar');
  });

  it('log no error in any window', () => {
    // A refused claim is an answer of the server that Chromium logs by itself.
    const own = windows.flatMap(({ errors }) => errors).filter((text) => !/status of 409/.test(text));
    expect(own).toEqual([]);
  });
});
