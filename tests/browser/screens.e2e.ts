import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { freezer, recall, recallSources } from '@frostmoot/contract';
import { readFile } from 'node:fs/promises';
import type { Browser } from 'playwright-core';
import type { z } from 'zod';
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
let startRecall: () => Promise<string>;
const paths = new Map<string, string>();

beforeAll(async () => {
  api = await startDemo();
  browser = await launch();
  const { client, base } = await api.signInAs(coordinator);
  const { items: held } = await client.ok<z.infer<typeof freezer>>('GET', `${base}/freezer`);
  const { batches } = await client.ok<z.infer<typeof recallSources>>('GET', `${base}/recall-sources`);
  const ours = batches.find((batch) =>
    held.some(({ dish, roundNumber }) => dish === batch.dish && roundNumber === batch.roundNumber),
  );
  startRecall = async () => {
    const source = { source: 'batch', sourceId: ours?.id, drill: false };
    return (await client.ok<z.infer<typeof recall>>('POST', `${base}/recalls`, source)).id;
  };
  const { items: rounds } = await client.ok<{ items: { id: string; stage: string }[] }>('GET', `${base}/rounds`);
  const { items: recipes } = await client.ok<{ items: { id: string }[] }>('GET', `${base}/recipes`);
  const roundIn = (stage: string): string => `/rounds/${rounds.find((round) => round.stage === stage)?.id}`;
  const all = {
    'this-week': '/',
    rounds: '/round',
    'rounds-all': '/round?all=true',
    'round-start': `${roundIn('planning')}`,
    'start-round': '/round/start',
    plan: `${roundIn('planning')}/plan`,
    buying: `${roundIn('sharing')}/buy`,
    receipt: `${roundIn('sharing')}/buy/receipt`,
    offers: '/offers',
    kitchen: `${roundIn('sharing')}/cook`,
    'share-out': `${roundIn('sharing')}/share-out`,
    'share-out-none': `${roundIn('planning')}/share-out`,
    collect: `${roundIn('sharing')}/collect`,
    'collect-none': `${roundIn('planning')}/collect`,
    'round-swap': `${roundIn('sharing')}/swap`,
    'round-account': `${roundIn('settled')}/account`,
    recipes: '/recipes',
    recipe: `/recipes/${recipes[0]?.id}`,
    'recipe-edit': `/recipes/${recipes[0]?.id}/edit`,
    'recipe-new': '/recipes/new',
    ingredients: '/ingredients',
    freezer: '/freezer',
    'freezer-by-place': '/freezer?by=place',
    'freezer-label': `/L/demo/${held[0]?.code}`,
    swaps: '/swaps',
    accounts: '/accounts',
    'accounts-portions': '/accounts?book=portions',
    household: '/household',
    coordinator: '/coordinator',
    notices: '/notices',
    recalls: '/recalls',
    rota: '/rota',
    turns: '/turns',
    'accounts-turns': '/accounts?book=turns',
    'not-found': '/nowhere',
  };
  for (const [name, path] of Object.entries(all)) paths.set(name, path);
});

afterAll(async () => {
  await browser.close();
  await api.stop();
});

// Each size in each look, and each language; a look and a language do not change what the other does.
const visits: Visit[] = [
  { size: 'phone', look: 'light', language: 'en' },
  { size: 'phone', look: 'dark', language: 'ar' },
  { size: 'laptop', look: 'light', language: 'es' },
  { size: 'laptop', look: 'dark', language: 'en' },
];

// WCAG 2.2 A and AA as far as axe-core 4.14 can tell; the rest is looked at in the pictures.
async function lookAt(all: Map<string, string>, visit: Visit): Promise<{ found: string[]; errors: string[] }> {
  const { context, page, errors } = await openWindow(browser, api.url, visit);
  await signInQuietly(context, api.url, coordinator);
  const found: string[] = [];
  for (const [name, path] of all) {
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
  return { found, errors };
}

describe.each(visits)('every screen at $size size, $look, in $language', (visit) => {
  it('has nothing that axe-core finds, no sideways scroll, one main act at most and no error', async () => {
    expect(await lookAt(paths, visit)).toEqual({ found: [], errors: [] });
  });
});

// Last, because a recall stands over every page until it is answered.
describe.each(visits)('a recall at $size size, $look, in $language', (visit) => {
  let recallId: string;
  beforeAll(async () => (recallId ??= await startRecall()));

  it('has nothing that axe-core finds on its page, in its list and over others', async () => {
    const during = { recall: `/recalls/${recallId}`, 'recalls-one': '/recalls', 'freezer-recall': '/freezer' };
    expect(await lookAt(new Map(Object.entries(during)), visit)).toEqual({ found: [], errors: [] });
  });
});

const gates = ['sign-in', 'set-up', 'invitation?cooperative=x&token=y'];

describe('before anybody has signed in', () => {
  it.each(gates)('%s has nothing that axe-core finds', async (path) => {
    const { context, page } = await openWindow(browser, api.url, { size: 'phone' });
    await page.goto(`/${path}`);
    await settled(page);
    await picture(page, `${path.split('?')[0]}-phone-light-en`);
    const found = await axeFindings(page);
    await context.close();
    expect(found).toEqual([]);
  });
});

it('visits every address of the app', async () => {
  const source = await readFile(new URL('../../apps/web/src/app/routes.tsx', import.meta.url), 'utf8');
  const routes = [...source.matchAll(/getParentRoute: \(\) => (\w+),\s+path: '([^']+)'/g)].map(([, parent, path]) =>
    `/${parent === 'round' ? 'rounds/$roundId/' : ''}${path}`.replace(/(.)\/+$/, '$1'),
  );
  const visited = [...paths.values(), ...gates.map((gate) => `/${gate}`), '/recalls/x'].map(
    (path) => path.split('?')[0],
  );
  const unseen = routes.filter((route) => {
    const pattern = new RegExp(`^${route.replaceAll(/\$\w*/g, '[^/]+')}$`);
    return !visited.some((path) => pattern.test(path ?? ''));
  });
  expect(routes.length).toBeGreaterThan(25);
  expect(unseen).toEqual([]);
});
