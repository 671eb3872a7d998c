import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { me, notices, recall, recallSources } from '@frostmoot/contract';
import type { Browser, Page } from 'playwright-core';
import type { z } from 'zod';
import { axeFindings, launch, openWindow, picture, settled, sidewaysScroll, signInQuietly } from './chromium.ts';
import { coordinator, startDemo, type DemoApp } from './demo-app.ts';

type Recall = z.infer<typeof recall>;

/** Gives the page's person a second cooperative that answers nothing, and opens it at the next load. */
async function openAnother(page: Page): Promise<void> {
  const other = '00000000-0000-4000-8000-000000000001';
  await page.route('**/api/**', async (route) => {
    const { pathname } = new URL(route.request().url());
    if (pathname === '/api/me') {
      const response = await route.fetch();
      const answer = (await response.json()) as z.infer<typeof me>;
      const [own] = answer.memberships;
      if (own) answer.memberships.push({ ...own, cooperativeId: other, cooperativeName: 'Elsewhere' });
      return route.fulfill({ response, json: answer });
    }
    if (pathname === `/api/cooperatives/${other}`) {
      const answer = { id: other, name: 'Elsewhere', currency: 'EUR', currencyDigits: 2, timeZone: 'Europe/Madrid' };
      return route.fulfill({ json: { ...answer, locale: 'en', today: '2026-11-25' } });
    }
    return route.continue();
  });
  await page.evaluate((id) => localStorage.setItem('frostmoot.cooperative', id), other);
}

describe('a recall, on the phones of two households', () => {
  let app: DemoApp;
  let browser: Browser;
  beforeAll(async () => {
    [app, browser] = await Promise.all([startDemo(), launch()]);
  });
  afterAll(async () => {
    await browser.close();
    await app.stop();
  });

  it('overrides every page until it is answered, and ends in the coordinator’s report', async () => {
    const { client, base: path } = await app.signInAs(coordinator);
    const { accounts } = await client.ok<{ accounts: { email: string; householdName: string }[] }>('GET', '/demo');
    const { batches } = await client.ok<z.infer<typeof recallSources>>('GET', `${path}/recall-sources`);

    // The coordinator begins it on the page, with the second step that takes food out of use.
    const theirs = await openWindow(browser, app.url, { size: 'phone' });
    await signInQuietly(theirs.context, app.url, coordinator);
    await theirs.page.goto('/recalls');
    await settled(theirs.page);
    expect(await axeFindings(theirs.page)).toEqual([]);
    expect(await sidewaysScroll(theirs.page)).toBe(0);
    await picture(theirs.page, 'recalls-phone');
    await theirs.page.getByLabel('What', { exact: true }).selectOption(`batch ${batches[0]?.id}`);
    await theirs.page.getByRole('button', { name: 'Tell everybody…' }).click();
    await theirs.page.getByLabel('Type recall to go on').fill('recall');
    await theirs.page.getByRole('button', { name: 'Tell everybody', exact: true }).click();
    await theirs.page.waitForURL('**/recalls/*');
    const id = theirs.page.url().split('/').at(-1) ?? '';
    const begun = await client.ok<Recall>('GET', `${path}/recalls/${id}`);
    const holder = begun.report?.households.find(
      ({ household, none }) =>
        household &&
        none > 0 &&
        accounts.some(({ email, householdName }) => email !== coordinator && householdName === household.name),
    );
    const email = accounts.find(({ householdName }) => householdName === holder?.household?.name)?.email ?? '';

    // The other household sees it on whatever page it is.
    const mine = await openWindow(browser, app.url, { size: 'phone' });
    await signInQuietly(mine.context, app.url, email);
    await mine.page.goto('/freezer');
    await mine.page.getByRole('alert').getByRole('link', { name: 'Answer' }).click();
    await mine.page.getByRole('heading', { name: /do not eat/ }).waitFor();
    await settled(mine.page);
    expect(await axeFindings(mine.page)).toEqual([]);
    expect(await sidewaysScroll(mine.page)).toBe(0);
    await picture(mine.page, 'recall-notice-phone');
    // Opened, its notice counts as seen.
    const { client: other } = await app.signInAs(email);
    const told = await other.ok<z.infer<typeof notices>>('GET', `${path}/notices`);
    expect(told.items.find(({ subjectId }) => subjectId === id)).toMatchObject({ kind: 'recall', seen: true });
    // In the cellar there is no connection: the answer is shown at once, outlives the page that it was given on, and goes out later.
    await mine.context.setOffline(true);
    await mine.page.getByRole('button', { name: /(is|are) set apart$/ }).click();
    await mine.page.getByText('Saved on this device, 1 waits.').waitFor();
    await mine.page.getByText('Everything is answered. Thank you.').waitFor();
    await picture(mine.page, 'recall-offline-phone');
    await mine.page.getByRole('link', { name: 'Freezer' }).first().click();
    const unheard = await client.ok<Recall>('GET', `${path}/recalls/${id}`);
    expect(unheard.report?.households.find(({ household }) => household?.id === holder?.household?.id)?.setApart).toBe(
      0,
    );
    // Meanwhile another of the person's cooperatives is opened: the answer still goes to the one that it was given in.
    await openAnother(mine.page);
    await mine.page.route('**/answers', (route) => route.abort());
    await mine.context.setOffline(false);
    await mine.page.goto('/recalls');
    await mine.page.getByText('Elsewhere').first().waitFor();
    await mine.page.unroute('**/answers');
    await mine.page.evaluate(() => dispatchEvent(new Event('online')));
    await mine.page.waitForFunction(() => localStorage.getItem('frostmoot.waiting') === '[]');
    await mine.page.unroute('**/api/**');
    await mine.page.evaluate(() => localStorage.removeItem('frostmoot.cooperative'));
    await mine.page.goto(`/recalls/${id}`);
    await mine.page.getByText('Everything is answered. Thank you.').waitFor();
    // Of the connection that was cut, and of the cooperative that answers nothing.
    mine.errors.length = 0;
    expect(await mine.page.getByText('Saved on this device, 1 waits.').count()).toBe(0);
    await mine.page.goto('/freezer');
    await settled(mine.page);
    expect(await mine.page.getByRole('link', { name: 'Answer' }).count()).toBe(0);

    // The report has heard of it by itself.
    const row = theirs.page.getByRole('row', { name: new RegExp(holder?.household?.name ?? '') });
    await row.getByText(/\d+ set apart/).waitFor();
    expect(await axeFindings(theirs.page)).toEqual([]);
    expect(await sidewaysScroll(theirs.page)).toBe(0);
    await picture(theirs.page, 'recall-report-phone');
    const wide = await openWindow(browser, app.url, { look: 'dark', language: 'ar' });
    await signInQuietly(wide.context, app.url, coordinator);
    await wide.page.goto(`/recalls/${id}`);
    await settled(wide.page);
    expect(await axeFindings(wide.page)).toEqual([]);
    await picture(wide.page, 'recall-report-laptop-ar-dark');

    // An answer that was kept while the recall was closed is refused: whatever page is open says so until a person puts it away.
    await mine.page.goto(`/recalls/${id}`);
    await mine.page.getByRole('button', { name: 'Say something else' }).first().click();
    expect(mine.errors).toEqual([]);
    await mine.context.setOffline(true);
    await mine.page.getByRole('button', { name: 'Not found', exact: true }).click();
    await mine.page.getByText('Saved on this device, 1 waits.').waitFor();
    await client.ok('POST', `${path}/recalls/${id}/close`, { words: 'Everybody was called.' });
    await mine.page.getByRole('link', { name: 'Freezer' }).first().click();
    await mine.context.setOffline(false);
    await mine.page.evaluate(() => dispatchEvent(new Event('online')));
    const refused = mine.page.getByRole('alert').filter({ hasText: '1 entry was not taken' });
    await refused.getByRole('heading', { name: 'An answer to a recall' }).waitFor();
    await settled(mine.page);
    expect(await axeFindings(mine.page)).toEqual([]);
    await picture(mine.page, 'recall-refused-phone');
    await refused.getByRole('button', { name: 'Remove' }).click();
    await refused.waitFor({ state: 'detached' });
    for (const { errors } of [theirs, wide]) expect(errors).toEqual([]);

    // Closing makes nothing fit to eat: who never answered still reads it.
    const { report } = await client.ok<Recall>('GET', `${path}/recalls/${id}`);
    const silent = accounts.find(({ householdName }) =>
      report?.households.some(({ household, none }) => household?.name === householdName && none > 0),
    );
    const late = await openWindow(browser, app.url, { size: 'phone' });
    await signInQuietly(late.context, app.url, silent?.email ?? '');
    await late.page.goto(`/recalls/${id}`);
    await late.page.getByRole('heading', { name: /do not eat/ }).waitFor();
    await late.page.getByText(/^The recall was closed without your answer/).waitFor();
    await picture(late.page, 'recall-closed-unanswered-phone');
  });
});
