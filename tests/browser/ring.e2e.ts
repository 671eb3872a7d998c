import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { spawn, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { fileURLToPath } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { ORIGIN, startApi, type Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { buildSharedRound, type SharedRound } from '../builders/shared-round.ts';
import { Swappers } from '../builders/swap-rings.ts';
import { axeFindings, launch, openWindow, picture, settled, sidewaysScroll, type Visit } from './chromium.ts';
import { addressOf } from './demo-app.ts';

const names = ['Alder', 'Birch', 'Cedar'];
const dishes = ['Stew', 'Pie', 'Soup'];

const NOW = '2026-11-23T10:00:00.000Z';
const built = (relative: string): string => fileURLToPath(new URL(`../../apps/${relative}`, import.meta.url));

let api: Api;
let server: ChildProcess;
let url: string;
let browser: Browser;
let cooperative: BuiltCooperative;
let round: SharedRound;
let swappers: Swappers;
beforeAll(async () => {
  api = await startApi({ now: new Date(NOW) });
  cooperative = await buildCooperative(api);
  round = await buildSharedRound(api, cooperative, {
    dishes: [
      { name: 'Stew', containers: [3, 3, 3] },
      { name: 'Pie', containers: [3, 3, 3] },
      { name: 'Soup', containers: [2, 2, 2] },
    ],
    participants: names.map((household) => ({ household, weight: '2' })),
  });
  swappers = new Swappers(api, cooperative);
  const env = {
    ...{ PATH: process.env['PATH'], DATABASE_URL: api.database.appUrl, PUBLIC_URL: ORIGIN, PORT: '0' },
    ...{ FROSTMOOT_NOW: NOW, WEB_DIST: built('web/dist') },
  };
  server = spawn(process.execPath, [built('api/dist/main.js')], { env, stdio: ['ignore', 'pipe', 'inherit'] });
  url = await addressOf(server);
  browser = await launch();
});
afterAll(async () => {
  await browser.close();
  const ended = once(server, 'exit');
  server.kill('SIGTERM');
  await ended;
  await api.stop();
});

/** The board of swaps in a window of a household's own. */
async function boardOf(name: string, visit: Visit): Promise<Page> {
  const { context, page } = await openWindow(browser, url, visit);
  const [cookie = '', value = ''] = cooperative.household(name).client.cookie.split('=');
  await context.addCookies([{ name: cookie, value, url }]);
  await page.goto('/swaps');
  await settled(page);
  return page;
}
const button = (page: Page, name: string | RegExp) =>
  page.getByRole('button', typeof name === 'string' ? { name, exact: true } : { name });
const boxOf = (household: string, dish: string) => round.of(household).find((box) => box.dish === dish)!;

describe('a ring of three households, each with a telephone', () => {
  it('is offered and wished for, found, read in every language and look, and done when the last says yes', async () => {
    for (const [at, name] of names.entries()) {
      if (at === 0) continue;
      await swappers.offer(name, boxOf(name, dishes[at]!).id);
      await swappers.wish(name, boxOf('Alder', dishes[(at + 2) % 3]!).recipeId);
    }
    const alder = await boardOf('Alder', { size: 'phone' });
    await alder.getByRole('link', { name: 'Offer a container' }).first().click();
    await alder.getByText(boxOf('Alder', 'Stew').code).first().click();
    await button(alder, 'Offer 1 container').click();
    await alder.getByText('1 container is offered now.').waitFor();
    await button(alder, 'Add a wish').click();
    await alder.getByLabel('Which dish?').selectOption({ label: 'Soup' });
    await button(alder, 'Add a wish').last().click();
    await alder.getByText('Soup is among your wishes.').waitFor();
    await button(alder, 'Look for rings').click();
    await alder.getByRole('heading', { name: 'A ring of 3 found for you' }).waitFor();
    await picture(alder, 'ring-found-phone');

    for (const visit of [
      { language: 'en', look: 'light' },
      { language: 'es', look: 'dark' },
      { language: 'ar', look: 'light' },
      { language: 'en', look: 'dark' },
      { language: 'es', look: 'light' },
      { language: 'ar', look: 'dark' },
    ] as const) {
      const page = await boardOf('Birch', { ...visit, size: 'phone' });
      await page.locator('.ring-picture').waitFor();
      expect([visit, await axeFindings(page)]).toEqual([visit, []]);
      expect([visit, await sidewaysScroll(page)]).toEqual([visit, 0]);
      expect(await page.locator('.button-main').count()).toBe(1);
      await picture(page, `ring-${visit.language}-${visit.look}`);
      await page.context().close();
    }

    const [birch, cedar] = [await boardOf('Birch', { size: 'phone' }), await boardOf('Cedar', { size: 'phone' })];
    await birch.getByText('You give Cedar 1 Pie, 3 portions.').waitFor();
    await birch.getByText('Alder give you 1 Stew, 3 portions.').waitFor();
    await button(birch, 'Accept my part').click();
    await birch.getByText('You said yes. The answers of Cedar and Alder are missing.').waitFor();
    await button(cedar, 'Accept my part').click();
    await cedar.getByText('You said yes. The answer of Alder is missing.').waitFor();
    // The first telephone has followed by itself.
    await alder.locator('.ring-picture').getByText('said yes').nth(1).waitFor();
    await button(alder, 'Accept my part').click();
    await alder.getByText('All said yes. The containers have moved on.').waitFor();
    for (const page of [birch, cedar])
      await page
        .getByText(/All said yes, /)
        .first()
        .waitFor();
    expect((await swappers.board('Alder')).mine.map(({ code }) => code)).toContain(boxOf('Cedar', 'Soup').code);
    expect((await swappers.board('Birch')).mine.map(({ code }) => code)).toContain(boxOf('Alder', 'Stew').code);
  });
});
