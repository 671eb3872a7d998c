import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { thisWeek, turnSwap, turnSwaps } from '@frostmoot/contract';
import type { Browser, Page } from 'playwright-core';
import type { z } from 'zod';
import { axeFindings, launch, openWindow, picture, settled, sidewaysScroll, signInQuietly } from './chromium.ts';
import { coordinator, startDemo, type DemoApp } from './demo-app.ts';

let api: DemoApp;
let browser: Browser;
const closes: (() => Promise<void>)[] = [];
beforeAll(async () => {
  api = await startDemo();
  browser = await launch();
});
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

/** Somebody whose household does not cook in the week of the turn that nobody has. */
async function whoCouldCook(): Promise<string> {
  const { client, base, householdId } = await api.signInAs(coordinator);
  const { weeks } = await client.ok<z.infer<typeof thisWeek>>('GET', `${base}/this-week?householdId=${householdId}`);
  const open = weeks.find(({ turns }) => turns.some(({ household }) => household === null));
  const cooks = [...(open?.turns ?? []), ...(open?.cookDays.flatMap(({ turns }) => turns) ?? [])];
  const { accounts } = await client.ok<{ accounts: { email: string; householdName: string }[] }>('GET', '/demo');
  return accounts.find((each) => cooks.every(({ household }) => household?.name !== each.householdName))?.email ?? '';
}

/** The first swap of two turns of the demo that breaks no limit: proposed and taken back again. */
async function possibleSwap() {
  const { client: reader } = await api.signInAs(coordinator);
  const { accounts } = await reader.ok<{ accounts: { email: string; householdName: string }[] }>('GET', '/demo');
  const short = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'short', timeZone: 'UTC' });
  for (const from of accounts) {
    const { client, base, householdId } = await api.signInAs(from.email);
    const path = `${base}/turn-swaps`;
    const { mine, others } = await client.ok<z.infer<typeof turnSwaps>>('GET', `${path}?householdId=${householdId}`);
    for (const give of mine) {
      for (const get of others) {
        const asked = { fromHouseholdId: householdId, givesTurnId: give.id, getsTurnId: get.id };
        const { status, body } = await client.call<z.infer<typeof turnSwap>>('POST', path, asked);
        if (status >= 300) continue;
        await client.ok('POST', `${path}/${body.id}/answer`, { answer: 'withdraw' }, { ifMatch: body.version });
        const to = accounts.find(({ householdName }) => householdName === body.to.name);
        if (to)
          return { from, to, gives: short.format(new Date(give.weekOf)), gets: short.format(new Date(get.weekOf)) };
      }
    }
  }
  throw new Error('No two households of the demo can swap their turns');
}

describe('the rota on a phone', () => {
  it('names the turn that nobody has beside the board, where it can be taken', async () => {
    const page = await phoneOf(await whoCouldCook(), 'dark');
    await page.goto('/');
    await settled(page);
    await button(page, /^Take the turn on/).waitFor();
    await picture(page, 'rota-board-phone-dark');
    expect(await axeFindings(page)).toEqual([]);
    expect(await sidewaysScroll(page)).toBe(0);
  });

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
  });

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
  });

  it('asks the other household, and with its yes both turns have moved, on both telephones', async () => {
    const { from, to, gives, gets } = await possibleSwap();
    const asks = await phoneOf(from.email);
    await asks.goto('/turns');
    await button(asks, new RegExp(`^Ask for a swap ${gives}$`)).click();
    await asks.getByLabel('For which turn').selectOption({ label: `${to.householdName}, week of ${gets}` });
    await asks.getByLabel('A word to them').fill('We are away.');
    await button(asks, /^Propose it$/).click();
    await asks.getByText(`${to.householdName} are asked. Nothing moves before their answer.`).waitFor();
    const turns = (page: Page) => page.getByRole('region', { name: 'To come' });
    expect(await turns(asks).getByText(`In the week of ${gives}`).count()).toBe(1);
    const answers = await phoneOf(to.email, 'dark');
    await answers.goto('/turns');
    await answers.getByRole('heading', { name: `${from.householdName} ask to swap turns` }).waitFor();
    await answers.getByText('We are away.').waitFor();
    await settled(answers);
    await picture(answers, 'turns-answer-phone-dark');
    expect([await axeFindings(answers), await sidewaysScroll(answers)]).toEqual([[], 0]);
    expect(await answers.locator('.button-main').allInnerTexts()).toEqual(['Accept']);
    await button(answers, /^Accept$/).click();
    await answers.getByText('Both turns have moved.').waitFor();
    await turns(answers).getByText(`In the week of ${gives}`).waitFor();
    await asks.getByText('Done, both moved').first().waitFor();
    await turns(asks).getByText(`In the week of ${gets}`).waitFor();
    expect(await turns(asks).getByText(`In the week of ${gives}`).count()).toBe(0);
  });
});
