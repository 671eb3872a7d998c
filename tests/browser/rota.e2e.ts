import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { Browser, Page } from 'playwright-core';
import { axeFindings, launch, openWindow, picture, settled, sidewaysScroll, signInQuietly } from './chromium.ts';
import { coordinator, startDemo, type DemoApp } from './demo-app.ts';

let api: DemoApp;
let browser: Browser;
const closes: (() => Promise<void>)[] = [];
beforeAll(async () => {
  api = await startDemo();
  browser = await launch();
}, 180_000);
afterAll(async () => {
  for (const close of closes) await close();
  await browser.close();
  await api.stop();
});

async function phoneOf(email: string, look: 'light' | 'dark' = 'light'): Promise<Page> {
  const { context, page } = await openWindow(browser, api.url, { size: 'phone', look });
  closes.push(() => context.close());
  await signInQuietly(context, api.url, email);
  return page;
}
const button = (page: Page, name: RegExp) => page.getByRole('button', { name });

describe('the rota on a phone', () => {
  it('names the turn that nobody has beside the board, where it can be taken', async () => {
    const page = await phoneOf('maud@quarry-row.example', 'dark');
    await page.goto('/');
    await settled(page);
    await button(page, /^Take the turn on/).waitFor();
    await picture(page, 'rota-board-phone-dark');
    expect(await axeFindings(page)).toEqual([]);
    expect(await sidewaysScroll(page)).toBe(0);
  }, 120_000);

  it('shows the draft with its one main act, and each week to be set by hand', async () => {
    const page = await phoneOf(coordinator);
    await page.goto('/rota');
    await settled(page);
    await picture(page, 'rota-draft-phone');
    expect(await axeFindings(page)).toEqual([]);
    expect(await sidewaysScroll(page)).toBe(0);
    expect(await page.locator('.button-main').allInnerTexts()).toEqual(['Publish this rota']);
    await button(page, /^Change/)
      .first()
      .click();
    // One for each of the six households, and one that keeps what was set.
    await page.getByRole('dialog').locator('.tick').nth(6).waitFor();
  }, 120_000);

  it('has each household’s turns, from which a swap is asked for', async () => {
    const page = await phoneOf('tobias@quarry-row.example');
    await page.goto('/turns');
    await settled(page);
    await picture(page, 'turns-phone');
    expect(await axeFindings(page)).toEqual([]);
    await button(page, /^Ask for a swap/)
      .first()
      .click();
    await picture(page, 'turns-ask-phone');
    expect(await page.getByRole('dialog').getByRole('combobox').locator('option').count()).toBeGreaterThan(1);
  }, 120_000);
});
