import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { buying, kitchen, recallSources, recallTrace, round as roundSchema, runSheet } from '@frostmoot/contract';
import type { Browser, BrowserContext, Page } from 'playwright-core';
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

type Round = z.infer<typeof roundSchema>;
type Buying = z.infer<typeof buying>;

describe('a lot, from the buyer’s receipt to the cook’s pot', () => {
  let api: DemoApp;
  let browser: Browser;
  let who: Client;
  let base: string;
  let householdId: string;
  let roundId: string;
  const windows: { context: BrowserContext; errors: string[] }[] = [];
  beforeAll(async () => {
    [api, browser] = await Promise.all([startDemo(), launch()]);
    ({ client: who, base, householdId } = await api.signInAs(coordinator));
    const { items } = await who.ok<{ items: Round[] }>('GET', `${base}/rounds`);
    roundId = items.find(({ stage }) => stage === 'planning')?.id ?? '';
    await moveOn('buying');
  });
  afterAll(async () => {
    for (const { context } of windows) await context.close();
    await browser.close();
    await api.stop();
  });

  async function moveOn(to: string): Promise<void> {
    const { version } = await who.ok<Round>('GET', `${base}/rounds/${roundId}`);
    await who.ok('POST', `${base}/rounds/${roundId}/stage`, { to }, { ifMatch: version });
  }
  async function windowOf(email: string, path: string, visit: Visit): Promise<Page> {
    const opened = await openWindow(browser, api.url, { now: DEMO_NOW, ...visit });
    windows.push(opened);
    await signInQuietly(opened.context, api.url, email);
    await opened.page.goto(path);
    await settled(opened.page);
    return opened.page;
  }
  async function judge(page: Page, name: string): Promise<void> {
    await settled(page);
    await picture(page, name);
    expect(await sidewaysScroll(page)).toBe(0);
    expect(await axeFindings(page)).toEqual([]);
  }

  it('is written down with the receipt, one press away from its line', async () => {
    const { lists } = await who.ok<Buying>('GET', `${base}/rounds/${roundId}/buying`);
    const list = lists[0];
    const line = list?.lines[0];
    const page = await windowOf(coordinator, `/rounds/${roundId}/buy/receipt?seller=${list?.seller.id}`, {
      size: 'phone',
    });
    await judge(page, 'lots-1-receipt-phone');
    await page.getByRole('button', { name: `Add the lot code: ${line?.label}`, exact: true }).click();
    await page.getByLabel('Lot code on the pack').fill('4471');
    await page.getByLabel('Best before, as printed').fill('2027-03-31');
    await judge(page, 'lots-1-typed-phone');
    await page.getByRole('button', { name: /^Keep the receipt/ }).click();
    await page
      .getByText(/lot 4471, best before/)
      .first()
      .waitFor();
    const { lots } = await who.ok<z.infer<typeof recallSources>>('GET', `${base}/recall-sources`);
    expect(lots.map(({ code, bestBefore }) => [code, bestBefore])).toEqual([['4471', '2027-03-31']]);
  });

  it('stands in the cook’s kitchen, and once the cook has told it a recall of it finds that batch for sure', async () => {
    const { lists } = await who.ok<Buying>('GET', `${base}/rounds/${roundId}/buying`);
    for (const { seller, lines } of lists.slice(1)) {
      await who.ok('POST', `${base}/rounds/${roundId}/receipts`, {
        sellerId: seller.id,
        paidByHouseholdId: householdId,
        boughtOn: '2026-11-25',
        lines: lines.map(({ id: purchaseId, label, packs, plannedMinor: amountMinor }) => ({
          purchaseId,
          label,
          packs,
          amountMinor,
        })),
      });
    }
    await moveOn('cooking');
    const { lots } = await who.ok<z.infer<typeof recallSources>>('GET', `${base}/recall-sources`);
    const trace = () =>
      who.ok<z.infer<typeof recallTrace>>('GET', `${base}/recall-trace?source=lot&sourceId=${lots[0]?.id}`);
    const [may] = (await trace()).batches;
    expect(may?.sure).toBe(false);
    const { batches } = await who.ok<z.infer<typeof kitchen>>('GET', `${base}/rounds/${roundId}/kitchen`);
    const batch = batches.find(({ lotCode }) => lotCode === may?.lotCode);
    const page = await windowOf('maud@quarry-row.example', `/rounds/${roundId}/cook?batch=${batch?.id}`, {
      size: 'phone',
      look: 'dark',
    });
    await page.getByRole('heading', { name: 'Lots in this batch' }).waitFor();
    await judge(page, 'lots-2-batch-phone-dark');
    const tick = page.getByRole('checkbox', { name: /^Lot 4471/ });
    await tick.press('Space');
    const ask = page.getByRole('dialog', { name: `Lot 4471 in batch ${may?.lotCode}?` });
    await ask.getByText(/passes over this batch/).waitFor();
    await judge(page, 'lots-2-ask-phone-dark');
    await ask.getByRole('button', { name: 'Leave it' }).click();
    expect([await tick.isChecked(), (await trace()).batches.some(({ sure }) => sure)]).toEqual([false, false]);

    // A kitchen is often without a connection: the tick waits on the device, and a code that is being written stays in its field.
    await page.context().setOffline(true);
    await tick.press('Space');
    await ask.getByRole('button', { name: 'It went into this batch' }).click();
    await page.getByText(`Lot 4471 is in batch ${may?.lotCode}`).waitFor();
    await page.getByText('Saved on this device, 1 waits.').waitFor();
    expect([await tick.isChecked(), (await trace()).batches.some(({ sure }) => sure)]).toEqual([true, false]);
    await page.getByRole('button', { name: /^Another code/ }).click();
    await page.getByLabel(/^Lot code on the pack/).fill('5000');
    const other = page.getByRole('dialog');
    await other.getByRole('button', { name: 'It went into this batch' }).click();
    await other.getByText('No connection').waitFor();
    expect(await page.getByLabel(/^Lot code on the pack/).inputValue()).toBe('5000');
    await other.getByRole('button', { name: 'Leave it' }).click();
    await page.context().setOffline(false);
    await page.evaluate(() => dispatchEvent(new Event('online')));
    await page.waitForFunction(() => localStorage.getItem('frostmoot.waiting') === '[]');
    expect(await tick.isChecked()).toBe(true);
    expect((await trace()).batches.find(({ lotCode }) => lotCode === batch?.lotCode)?.sure).toBe(true);
  });

  it('is cooked on without a connection: what was done and measured meanwhile reaches the others afterwards', async () => {
    const { batches, cookDays } = await who.ok<z.infer<typeof kitchen>>('GET', `${base}/rounds/${roundId}/kitchen`);
    const [batch] = batches;
    const page = await windowOf('maud@quarry-row.example', `/rounds/${roundId}/cook?batch=${batch?.id}`, {
      size: 'phone',
    });
    const next = page.getByRole('button', { name: 'Done, next step' });
    await next.waitFor();
    await page.context().setOffline(true);
    await next.click();
    await page.getByText(/^step 2 of/).waitFor();
    await page.getByText('Saved on this device, 1 waits.').waitFor();
    await page.getByRole('textbox', { name: 'Core temperature' }).fill('48');
    await page.getByRole('button', { name: 'Enter reading' }).click();
    await page.getByText('Saved on this device, 2 wait.').waitFor();
    await judge(page, 'lots-3-offline-phone');
    await page.context().setOffline(false);
    await page.evaluate(() => dispatchEvent(new Event('online')));
    await page.waitForFunction(() => localStorage.getItem('frostmoot.waiting') === '[]');
    const after = await who.ok<z.infer<typeof kitchen>>('GET', `${base}/rounds/${roundId}/kitchen`);
    expect(after.batches.find(({ id }) => id === batch?.id)?.cooling?.readings.map(({ celsius }) => celsius)).toEqual([
      '48',
    ]);
    const { done } = await who.ok<z.infer<typeof runSheet>>('GET', `${base}/cook-days/${cookDays[0]?.id}/run-sheet`);
    expect(done).toHaveLength(1);
    const errors = windows.flatMap((opened) => opened.errors);
    expect(errors.filter((text) => !/ERR_INTERNET_DISCONNECTED/.test(text))).toEqual([]);
  });
});
