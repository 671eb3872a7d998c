import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { buying, round as roundSchema } from '@frostmoot/contract';
import type { Browser, Page } from 'playwright-core';
import type { z } from 'zod';
import type { Client } from '../api/harness.ts';
import { axeFindings, launch, openWindow, picture, settled, sidewaysScroll, signInQuietly } from './chromium.ts';
import type { Visit } from './chromium.ts';
import { coordinator, startDemo, type DemoApp } from './demo-app.ts';

type Round = z.infer<typeof roundSchema>;
type Buying = z.infer<typeof buying>;

let api: DemoApp;
let browser: Browser;
let reader: Client;
let base: string;
let roundId: string;

beforeAll(async () => {
  api = await startDemo();
  browser = await launch();
  ({ client: reader, base } = await api.signInAs(coordinator));
  const { items } = await reader.ok<{ items: Round[] }>('GET', `${base}/rounds`);
  roundId = items.find(({ stage }) => stage === 'planning')?.id ?? '';
});
afterAll(async () => {
  await browser.close();
  await api.stop();
});

const planOf = (): Promise<Round> => reader.ok('GET', `${base}/rounds/${roundId}`);

async function faultsOf(page: Page): Promise<string[]> {
  const sideways = await sidewaysScroll(page);
  return [...(await axeFindings(page)), ...(sideways > 0 ? [`scrolls ${sideways} px sideways`] : [])];
}

async function openPlan(visit: Visit) {
  const opened = await openWindow(browser, api.url, visit);
  await signInQuietly(opened.context, api.url, coordinator);
  await opened.page.goto(`/rounds/${roundId}/plan`);
  await settled(opened.page);
  return opened;
}

describe('a plan from something cheap, on a phone', () => {
  it('proposes dishes, says every figure in words, and changes the plan only when it is taken', async () => {
    const { context, page, errors } = await openPlan({ size: 'phone' });
    const before = await planOf();
    await page.getByRole('button', { name: 'Plan from something cheap' }).click();
    const dialog = page.getByRole('dialog', { name: 'Plan from something cheap' });
    await dialog.getByLabel('What is cheap or at hand').selectOption({ label: 'Carrots' });
    await dialog.getByLabel('How many packs').fill('4');
    await dialog.getByLabel('Different dishes for each household').fill('2');
    expect(await faultsOf(page)).toEqual([]);
    await dialog.getByRole('button', { name: 'Propose dishes' }).click();
    const take = dialog.getByRole('button', { name: 'Take these dishes' });
    await take.waitFor();
    await dialog.getByText(/^Carrots: \d of 4 packs used$/).waitFor();
    // The button that was pressed keeps the focus; closed and opened again, the dialog has what was typed and what was found.
    const again = dialog.getByRole('button', { name: 'Propose again' });
    expect(await again.evaluate((button) => button === document.activeElement)).toBe(true);
    await page.keyboard.press('Escape');
    await dialog.waitFor({ state: 'detached' });
    await page.getByRole('button', { name: 'Plan from something cheap' }).click();
    await dialog.getByText(/^Carrots: \d of 4 packs used$/).waitFor();
    expect(await dialog.getByLabel('How many packs').inputValue()).toBe('4');
    await take.scrollIntoViewIfNeeded();
    await picture(page, 'plan-proposal-phone-light-en');
    expect(await faultsOf(page)).toEqual([]);
    expect(await planOf()).toEqual(before);

    const saved = page.waitForResponse(
      (answer) => answer.request().method() === 'PUT' && answer.url().endsWith('/dishes'),
    );
    await take.click();
    await page.getByText('The proposed dishes are in the plan.').waitFor();
    expect((await saved).status()).toBe(200);
    expect((await planOf()).version).toBeGreaterThan(before.version);
    await context.close();
    expect(errors).toEqual([]);
  });

  it.each([
    { size: 'phone', look: 'dark', language: 'ar' },
    { size: 'laptop', look: 'light', language: 'es' },
  ] as const)('has nothing that axe-core finds at $size size, $look, in $language', async (visit) => {
    const { context, page, errors } = await openPlan(visit);
    const open = { ar: 'خطّط من شيء رخيص', es: 'Planear desde algo barato' }[visit.language];
    const ask = { ar: 'اقترح أطباقًا', es: 'Proponer platos' }[visit.language];
    await page.getByRole('button', { name: open }).click();
    await page.getByRole('button', { name: ask }).click();
    await page.locator('.dialog .figures').waitFor();
    await picture(page, `plan-proposal-${visit.size}-${visit.look}-${visit.language}`);
    const found = await faultsOf(page);
    await context.close();
    expect({ found, errors }).toEqual({ found: [], errors: [] });
  });
});

describe('the buying plan over several sellers, on a phone', () => {
  it('says why it is the cheapest and what each seller asks', async () => {
    const lists = await reader.ok<Buying>('GET', `${base}/rounds/${roundId}/buying`);
    expect(lists.why?.proof).toBe('optimal');
    const { context, page, errors } = await openWindow(browser, api.url, { size: 'phone' });
    await signInQuietly(context, api.url, coordinator);
    await page.goto(`/rounds/${roundId}/buy?seller=${lists.lists[0]?.seller.id}`);
    await settled(page);
    await page.getByText('No choice of whole packs from these sellers costs less on the day of buying.').waitFor();
    await picture(page, 'buy-plan-phone-light-en');
    expect(await faultsOf(page)).toEqual([]);
    await page.goto('/offers');
    await settled(page);
    await page
      .getByRole('button', { name: /^Change / })
      .first()
      .click();
    await page.getByLabel('No fee from').waitFor();
    await picture(page, 'sellers-phone-light-en');
    expect(await faultsOf(page)).toEqual([]);
    await context.close();
    expect(errors).toEqual([]);
  });
});
