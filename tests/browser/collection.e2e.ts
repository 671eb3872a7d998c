import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { collection } from '@frostmoot/contract';
import { readFile } from 'node:fs/promises';
import type { Browser, Page } from 'playwright-core';
import type { z } from 'zod';
import type { Client } from '../api/harness.ts';
import { until } from '../builders/until.ts';
import {
  axeFindings,
  launch,
  openWindow,
  picture,
  settled,
  sidewaysScroll,
  signInQuietly,
  type Language,
  type Look,
} from './chromium.ts';
import { coordinator, startDemo, type DemoApp } from './demo-app.ts';

type Collection = z.infer<typeof collection>;
const saltmarsh = 'sefa@quarry-row.example';
const tallow = 'wren@quarry-row.example';
/** The least side of what is pressed with wet or gloved hands: our own rule, wider than the 24 CSS px of WCAG 2.2, 2.5.8. */
const TALL = 64;

let api: DemoApp;
let browser: Browser;
let who: Client;
let base: string;
let roundId: string;
const opened: { errors: string[]; close: () => Promise<void> }[] = [];

beforeAll(async () => {
  api = await startDemo();
  browser = await launch();
  ({ client: who, base } = await api.signInAs(coordinator));
  const { items } = await who.ok<{ items: { id: string; stage: string }[] }>('GET', `${base}/rounds`);
  roundId = items.find(({ stage }) => stage === 'sharing')?.id ?? '';
});

afterAll(async () => {
  for (const { close } of opened) await close();
  await browser.close();
  await api.stop();
  expect(opened.flatMap(({ errors }) => errors)).toEqual([]);
});

async function phoneOf(email: string, language: Language = 'en', look: Look = 'light'): Promise<Page> {
  const { context, page, errors } = await openWindow(browser, api.url, { size: 'phone', language, look });
  opened.push({ errors, close: () => context.close() });
  await signInQuietly(context, api.url, email);
  return page;
}

async function open(page: Page, path: string): Promise<void> {
  await page.goto(path);
  await settled(page);
}

const seen = (): Promise<Collection> => who.ok<Collection>('GET', `${base}/rounds/${roundId}/collection`);
const partOf = async (name: string) => (await seen()).parts.find(({ household }) => household.name === name);

describe('collecting, with two households on their phones', () => {
  it('begins when the coordinator has said where and when', async () => {
    const page = await phoneOf(coordinator);
    await open(page, `/rounds/${roundId}/collect`);
    await page.getByRole('button', { name: 'Set place and times' }).click();
    await page.getByLabel('Where', { exact: true }).fill('The porch at Ibarra’s');
    await page.getByLabel('Day', { exact: true }).fill('2026-11-27');
    await page.getByLabel('Last day to collect').fill('2026-11-29');
    await page.getByRole('button', { name: 'Save' }).click();
    await page.getByRole('listitem').filter({ hasText: 'Fri 27 Nov, 17:00 to 19:00' }).waitFor();
    expect(await seen()).toMatchObject({
      state: 'set',
      place: 'The porch at Ibarra’s',
      // Madrid is one hour ahead of UTC in November (IANA time zone database).
      slots: [{ startsAt: '2026-11-27T16:00:00.000Z', endsAt: '2026-11-27T18:00:00.000Z' }],
      collectBy: '2026-11-29T19:00:00.000Z',
    });
  });

  it('one chooses a time and sends a neighbour, who ticks what leaves and takes a slip back', async () => {
    const theirs = await phoneOf(saltmarsh);
    await open(theirs, `/rounds/${roundId}/collect`);
    await theirs.getByLabel('When do you come?').selectOption({ label: 'Fri 27 Nov, 17:00 to 19:00' });
    await until(async () => ((await partOf('Saltmarsh'))?.slotId !== null) === true);
    await theirs.getByLabel('Who takes them along?').selectOption({ label: 'Tallow' });
    await until(async () => (await partOf('Saltmarsh'))?.delegate?.name === 'Tallow');

    const neighbours = await phoneOf(tallow);
    await open(neighbours, `/rounds/${roundId}/collect`);
    const list = neighbours.getByRole('region', { name: /^Saltmarsh/ });
    const tick = list.getByRole('checkbox').first();
    const box = await list.locator('.tick').first().boundingBox();
    expect(box?.height ?? 0).toBeGreaterThanOrEqual(TALL);
    await tick.press('Space');
    await neighbours.getByText(/handed over to Tallow/).waitFor();
    await neighbours.getByRole('button', { name: 'Undo' }).click();
    // The page itself must know: a code typed before would still be ticked there.
    await neighbours.getByText(/: not handed over/).waitFor();
    expect((await partOf('Saltmarsh'))?.containers.some((each) => each.isCollected)).toBe(false);

    const code = (await partOf('Saltmarsh'))?.containers[0]?.code ?? '';
    await neighbours.getByRole('textbox', { name: 'Code on the label' }).fill(code.toLowerCase());
    await neighbours.getByRole('button', { name: 'Tick it' }).click();
    await until(async () => (await partOf('Saltmarsh'))?.containers[0]?.handedOver?.to.name === 'Tallow');
    // Told at once to the household whose it is.
    await theirs.getByText(/To Tallow, .*ticked by Wren Tallow/).waitFor();
    await picture(neighbours, 'collect-at-the-door-phone');
    await neighbours.getByRole('textbox', { name: 'Code on the label' }).fill('R9-Z9-9');
    await neighbours.getByRole('button', { name: 'Tick it' }).click();
    await neighbours.getByText('R9-Z9-9 is not on these lists.').waitFor();
  });

  it('a household that nobody sends cannot tick for others', async () => {
    const page = await phoneOf(saltmarsh);
    await open(page, `/rounds/${roundId}/collect`);
    expect(
      await page
        .getByRole('region', { name: /^Tallow/ })
        .getByRole('checkbox')
        .count(),
    ).toBe(0);
  });

  it('prints a page for each household', async () => {
    const page = await phoneOf(coordinator);
    await open(page, `/rounds/${roundId}/collect`);
    await page.emulateMedia({ media: 'print' });
    const { parts } = await seen();
    expect(await page.locator('.collect-sheet:visible').count()).toBe(parts.length);
    expect(await page.locator('.collect-screen:visible').count()).toBe(0);
    await picture(page, 'collect-print');
  });
});

describe('the freezer of one of them', () => {
  it('keeps the focus near when a dialog out of a menu is left, and when a row goes', async () => {
    const page = await phoneOf(saltmarsh);
    await open(page, '/freezer');
    const more = page.getByRole('button', { name: /^More:/ }).first();
    const name = await more.getAttribute('aria-label');
    await more.click();
    await page.getByRole('menuitem', { name: 'Thrown away' }).click();
    await page.getByRole('button', { name: 'Leave it' }).click();
    await page.waitForFunction((label) => document.activeElement?.ariaLabel === label, name);
    const eaten = page.getByRole('button', { name: /^Eaten:/ }).first();
    const gone = await eaten.getAttribute('aria-label');
    await eaten.click();
    await page.waitForFunction((label) => {
      const focused = document.activeElement?.ariaLabel ?? '';
      return focused.startsWith('Eaten:') && focused !== label;
    }, gone);
    await page.getByRole('button', { name: 'Undo', exact: true }).click();
    await page.getByRole('button', { name: gone ?? '', exact: true }).waitFor();
  });

  it('groups by drawer, and keeps why something was thrown away in every language', async () => {
    const page = await phoneOf(saltmarsh);
    await open(page, '/freezer');
    await page
      .getByRole('button', { name: /^More:/ })
      .first()
      .click();
    await page.getByRole('menuitem', { name: 'Move it' }).click();
    await page.getByLabel('Where it lies').fill('Top drawer');
    await page.getByRole('button', { name: 'Keep this place' }).click();
    await page.getByRole('link', { name: 'By drawer' }).click();
    await page.getByRole('heading', { name: 'Top drawer' }).waitFor();
    await page.getByRole('heading', { name: 'No place written down' }).waitFor();
    await page
      .getByRole('button', { name: /^More:/ })
      .first()
      .click();
    await page.getByRole('menuitem', { name: 'Thrown away' }).click();
    await page.getByLabel('Kept too long').check();
    await page.getByRole('button', { name: 'Mark as thrown away' }).click();
    await page.getByText('Thrown away: Kept too long').waitFor();
    await picture(page, 'freezer-by-drawer-phone');

    const spanish = await phoneOf(saltmarsh, 'es');
    await open(spanish, '/freezer');
    const catalogue = new URL('../../apps/web/src/lib/messages/es/freezer.json', import.meta.url);
    const words = JSON.parse(await readFile(catalogue, 'utf8')) as Record<string, string>;
    await spanish
      .getByText(words['reason.too-old'] ?? '-')
      .first()
      .waitFor();
    expect(await spanish.getByText('Kept too long').count()).toBe(0);
  });
});

describe('both screens', () => {
  it.each([
    ['en', 'light'],
    ['en', 'dark'],
    ['es', 'light'],
    ['es', 'dark'],
    ['ar', 'light'],
    ['ar', 'dark'],
  ] as const)('have nothing that axe-core finds in %s, %s', async (language, look) => {
    const page = await phoneOf(coordinator, language, look);
    const found: string[] = [];
    for (const path of [`/rounds/${roundId}/collect`, '/freezer', '/freezer?by=place', '/accounts?book=portions']) {
      await open(page, path);
      await picture(page, `${path.replace(/\W+/g, '-').replace(roundId, 'round')}-${language}-${look}`);
      found.push(...(await axeFindings(page)).map((what) => `${path}: ${what}`));
      if ((await sidewaysScroll(page)) > 0) found.push(`${path} scrolls sideways`);
    }
    expect(found).toEqual([]);
  });
});
