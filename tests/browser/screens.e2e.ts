import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { Browser } from 'playwright-core';
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
import { coordinator, startDemo, type DemoApp } from './demo-app.ts';

let api: DemoApp;
let browser: Browser;
const paths = new Map<string, string>();

beforeAll(async () => {
  api = await startDemo();
  browser = await launch();
  const client = await api.signInAs(coordinator);
  const me = await client.ok<{ memberships: { cooperativeId: string }[] }>('GET', '/me');
  const base = `/cooperatives/${me.memberships[0]?.cooperativeId}`;
  const { items: rounds } = await client.ok<{ items: { id: string; stage: string }[] }>('GET', `${base}/rounds`);
  const { items: recipes } = await client.ok<{ items: { id: string }[] }>('GET', `${base}/recipes`);
  const roundIn = (stage: string): string => `/rounds/${rounds.find((round) => round.stage === stage)?.id}`;
  const all = {
    'this-week': '/',
    rounds: '/round',
    'start-round': '/round/start',
    plan: `${roundIn('planning')}/plan`,
    buying: `${roundIn('sharing')}/buy`,
    receipt: `${roundIn('sharing')}/buy/receipt`,
    offers: '/offers',
    kitchen: `${roundIn('sharing')}/cook`,
    'share-out': `${roundIn('sharing')}/share-out`,
    'share-out-none': `${roundIn('planning')}/share-out`,
    'round-swap': `${roundIn('sharing')}/swap`,
    'round-account': `${roundIn('settled')}/account`,
    recipes: '/recipes',
    recipe: `/recipes/${recipes[0]?.id}`,
    'recipe-edit': `/recipes/${recipes[0]?.id}/edit`,
    'recipe-new': '/recipes/new',
    ingredients: '/ingredients',
    freezer: '/freezer',
    swaps: '/swaps',
    accounts: '/accounts',
    'accounts-portions': '/accounts?book=portions',
    household: '/household',
    coordinator: '/coordinator',
    rota: '/rota',
    turns: '/turns',
    'accounts-turns': '/accounts?book=turns',
    'not-found': '/nowhere',
  };
  for (const [name, path] of Object.entries(all)) paths.set(name, path);
}, 120_000);

afterAll(async () => {
  await browser.close();
  await api.stop();
});

const visits: Visit[] = [
  { size: 'phone', look: 'light', language: 'en' },
  { size: 'phone', look: 'dark', language: 'en' },
  { size: 'laptop', look: 'light', language: 'en' },
  { size: 'laptop', look: 'dark', language: 'en' },
  { size: 'phone', look: 'light', language: 'ar' },
  { size: 'laptop', look: 'light', language: 'es' },
];

// WCAG 2.2 A and AA as far as axe-core 4.14 can tell; the rest is looked at in the pictures.
describe.each(visits)('every screen at $size size, $look, in $language', (visit) => {
  it('has nothing that axe-core finds, no sideways scroll, one main act at most and no error', async () => {
    const { context, page, errors } = await openWindow(browser, api.url, visit);
    await signInQuietly(context, api.url, coordinator);
    const found: string[] = [];
    for (const [name, path] of paths) {
      await page.goto(path);
      await settled(page);
      await picture(page, `${name}-${visit.size}-${visit.look}-${visit.language}`);
      const wrong = await axeFindings(page);
      const sideways = await sidewaysScroll(page);
      if (sideways > 0) wrong.push(`scrolls ${sideways} px sideways`);
      const main = await page.locator('.button-main:visible').count();
      if (main > 1) wrong.push(`${main} main acts`);
      found.push(...wrong.map((what) => `${name}: ${what}`));
    }
    await context.close();
    expect({ found, errors }).toEqual({ found: [], errors: [] });
  }, 240_000);
});

describe('before anybody has signed in', () => {
  it.each(['sign-in', 'set-up', 'invitation?cooperative=x&token=y'])(
    '%s has nothing that axe-core finds',
    async (path) => {
      const { context, page } = await openWindow(browser, api.url, { size: 'phone' });
      await page.goto(`/${path}`);
      await settled(page);
      await picture(page, `${path.split('?')[0]}-phone-light-en`);
      const found = await axeFindings(page);
      await context.close();
      expect(found).toEqual([]);
    },
  );
});
