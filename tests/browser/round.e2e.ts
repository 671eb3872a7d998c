import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import {
  costSplit,
  formatMinor,
  headcountWeight,
  perHeadPolicy,
  rational,
  shareOut as shareOutOf,
  verifyShareOut,
} from '@frostmoot/calc';
import type { accounts, buying, kitchen, round as roundSchema, shareOut, shareOutProof } from '@frostmoot/contract';
import { readFile } from 'node:fs/promises';
import type { Browser, BrowserContext, Locator, Page } from 'playwright-core';
import type { z } from 'zod';
import type { Client } from '../api/harness.ts';
import {
  holdUntilAllHaveSent,
  launch,
  openWindow,
  picture,
  settled,
  signInOnPage,
  signInQuietly,
  type Size,
} from './chromium.ts';
import { coordinator, DEMO_NOW, startDemo, type DemoApp } from './demo-app.ts';

type Round = z.infer<typeof roundSchema>;
type Buying = z.infer<typeof buying>;
type Kitchen = z.infer<typeof kitchen>;
type ShareOut = z.infer<typeof shareOut>;
type Accounts = z.infer<typeof accounts>;

let api: DemoApp;
let browser: Browser;
let reader: Client;
let base: string;
let roundId: string;
const windows: { context: BrowserContext; page: Page; errors: string[] }[] = [];

async function windowOf(email: string, size: Size = 'laptop'): Promise<Page> {
  const opened = await openWindow(browser, api.url, { size, now: DEMO_NOW });
  windows.push(opened);
  await signInQuietly(opened.context, api.url, email);
  return opened.page;
}

const read = <T>(path: string): Promise<T> => reader.ok<T>('GET', `${base}${path}`);
const euros = (minor: string | bigint): string => `€${formatMinor(BigInt(minor), 'EUR')}`;
const button = (where: Page | Locator, name: string | RegExp): Locator =>
  where.getByRole('button', { name, exact: typeof name === 'string' });

async function open(page: Page, stage: string): Promise<void> {
  await page.goto(`/rounds/${roundId}/${stage}`);
  await settled(page);
}

/** Presses the move and its second step. */
async function move(page: Page, name: RegExp, said: string): Promise<void> {
  await button(page, name).first().click();
  await button(page.getByRole('dialog'), name).click();
  await page.getByText(said).waitFor();
}

beforeAll(async () => {
  api = await startDemo();
  browser = await launch();
  ({ client: reader, base } = await api.signInAs(coordinator));
  const { items } = await read<{ items: Round[] }>('/rounds');
  roundId = items.find(({ stage }) => stage === 'planning')?.id ?? '';
});

afterAll(async () => {
  for (const { context } of windows) await context.close();
  await browser.close();
  // The harness fails here when an invariant of the data is broken.
  await api.stop();
});

// The whole of one round on the screens; each step's figures are worked out again here from what was typed.
describe('a round from plan to settled accounts, in the browser', () => {
  let page: Page;

  it('signs in as the coordinator and finds the round that is being planned', async () => {
    const opened = await openWindow(browser, api.url, { now: DEMO_NOW });
    windows.push(opened);
    page = opened.page;
    await signInOnPage(page, coordinator);
    await page.getByRole('link', { name: 'Round', exact: true }).first().click();
    await page.getByRole('heading', { level: 1, name: 'Rounds' }).waitFor();
    await page.getByRole('link', { name: 'Open the plan' }).first().click();
    await page.getByRole('heading', { level: 1, name: 'Round 3: plan' }).waitFor();
  });

  it('plans for the headcount of every household, the one that joined late too', async () => {
    const path = new URL('../../shared/demo/scenario.json', import.meta.url);
    const scenario = JSON.parse(await readFile(path, 'utf8')) as {
      households: { diners: { ageBand: 'adult' | 'child' }[] }[];
      lateHousehold: { diners: { ageBand: 'adult' | 'child' }[] };
    };
    const diners = [...scenario.households, scenario.lateHousehold].flatMap((household) => household.diners);
    const weight = headcountWeight(diners, perHeadPolicy, 2026);
    const wanted = rational.format(rational.mul(weight, rational.parse('4')));
    await page.getByText(`55 of ${wanted}`).waitFor();
    await button(page, 'Add that batch').click();
    await page.getByText(`72 of ${wanted}`).waitFor();
    await picture(page, 'flow-1-planned');
    await move(page, /^Move to buying/, 'Round 3: the lists are there.');
  });

  it('enters both receipts and splits them to the cent', async () => {
    const before = await read<Accounts>('/accounts');
    const plan = await read<Buying>(`/rounds/${roundId}/buying`);
    for (const list of plan.lists) {
      await page.goto(`/rounds/${roundId}/buy/receipt?seller=${list.seller.id}`);
      await settled(page);
      const keep = button(page, /^Keep the receipt/);
      await keep.filter({ hasText: euros(list.plannedMinor) }).waitFor();
      await keep.click();
      await page.getByText(`The receipt of ${list.seller.name} is kept: ${euros(list.plannedMinor)}.`).waitFor();
    }
    await open(page, 'buy');
    await picture(page, 'flow-2-bought');
    const { receipts, spentMinor } = await read<Buying>(`/rounds/${roundId}/buying`);
    expect(spentMinor).toBe(plan.plannedMinor);

    // Split again, receipt after receipt in the order of entering, from the shares alone and what rounding had carried before.
    let carried = Object.fromEntries(before.households.map((row) => [row.household.id, row.carriedMinor]));
    for (const receipt of [...receipts].sort((a, b) => (a.createdAt < b.createdAt ? -1 : 1))) {
      const lines = receipt.lines.map(({ id, amountMinor, split }) => ({
        id,
        amount: amountMinor,
        shares: Object.fromEntries(split.map(({ household, share }) => [household.id, share])),
      }));
      const again = costSplit({ lines, carried }) as {
        amounts: Record<string, Record<string, string>>;
        carriedAfter: Record<string, string>;
      };
      for (const line of receipt.lines) {
        const paid = Object.fromEntries(line.split.map(({ household, amountMinor }) => [household.id, amountMinor]));
        expect(paid).toEqual(again.amounts[line.id]);
      }
      carried = { ...carried, ...again.carriedAfter };
    }
    await move(page, /^Move to cooking/, 'Round 3 is at cooking.');
  });

  it('counts what came out, one batch shorter than planned', async () => {
    const { batches } = await read<Kitchen>(`/rounds/${roundId}/kitchen`);
    for (const [index, batch] of batches.entries()) {
      await open(page, 'cook');
      await page.getByRole('link', { name: `Cook ${batch.name}, ${batch.lotCode}` }).click();
      for (let step = 1; step < batch.steps.length; step += 1) await button(page, 'Done, next step').click();
      await button(page, 'Done, count what came out').click();
      if (index === 0) await page.locator('.stepper').first().getByText('−').click();
      await button(page, /^Keep: /).click();
      await page.getByText(new RegExp(`^${batch.lotCode}: \\d+ portions are kept`)).waitFor();
    }
    const made = await read<Kitchen>(`/rounds/${roundId}/kitchen`);
    const lost = batches[0]?.containerPlan[0]?.portions ?? 0;
    expect(made.portionsMade).toBe(made.portionsPlanned - lost);
    await open(page, 'cook');
    await page.getByText(`${made.portionsMade} of ${made.portionsPlanned} portions so far`).waitFor();
    await picture(page, 'flow-3-cooked');
    await move(page, /^Move to sharing out/, 'Round 3 is at sharing out.');
  });

  it('shares out as the calculation does, and says why', async () => {
    await open(page, 'share-out');
    await button(page, 'Work out the share-out').click();
    await button(page, 'Confirm the share-out').click();
    await button(page.getByRole('dialog'), 'Confirm round 3').click();
    await page.getByText('The share-out of round 3 is confirmed.').waitFor();
    await picture(page, 'flow-4-shared-laptop');

    const shared = await read<ShareOut>(`/rounds/${roundId}/share-out`);
    const proof = await read<z.infer<typeof shareOutProof>>(`/share-outs/${shared.shareOutId}/proof`);
    const again = shareOutOf(proof.input) as { received: Record<string, string> };
    expect(verifyShareOut(proof.input as never, again as never)).toEqual([]);
    for (const { household, received } of shared.parts) {
      expect(received).toBe(again.received[household.id]);
      const row = page.getByRole('row').filter({ has: page.getByRole('rowheader', { name: household.name }) });
      await row.getByRole('cell', { name: received, exact: true }).first().waitFor();
    }
    const own = shared.parts.find(({ household }) => household.name === 'Ibarra');
    await page.getByRole('heading', { name: `For us: ${own?.received} portions` }).waitFor();
    await page.getByRole('heading', { name: `Why ${own?.received}?` }).waitFor();
  });

  it('gives the last container of the pool to one of two who press at once, and tells the other who has it', async () => {
    const { pool, parts } = await read<ShareOut>(`/rounds/${roundId}/share-out`);
    expect(pool.filter((container) => container.roundNumber === 3)).toEqual([]);
    // Tallow, who may eat what they hold, give one container back on a phone.
    const tallow = await windowOf('wren@quarry-row.example', 'phone');
    await open(tallow, 'share-out');
    const given = parts.find(({ household }) => household.name === 'Tallow')?.containers[0];
    await button(tallow, `Release ${given?.dish}, ${given?.code}`).click();
    await tallow.getByText(`${given?.dish} is in the pool now.`).waitFor();
    await picture(tallow, 'flow-5-released-phone');

    const claim = `Claim this one: ${given?.dish}, ${given?.code}`;
    const fennimore = await windowOf('maud@quarry-row.example', 'phone');
    await open(fennimore, 'share-out');
    await open(page, 'share-out');
    await Promise.all([button(page, claim).waitFor(), button(fennimore, claim).waitFor()]);
    await holdUntilAllHaveSent([page, fennimore], '**/claim');
    await Promise.all([button(page, claim).click(), button(fennimore, claim).click()]);
    const yours = `${given?.dish} is yours: ${given?.code}.`;
    const won = [page.getByText(yours), fennimore.getByText(yours)];
    await Promise.race(won.map((one) => one.waitFor()));
    const now = await read<ShareOut>(`/rounds/${roundId}/share-out`);
    const holders = now.parts.filter(({ containers }) => containers.some(({ id }) => id === given?.id));
    expect(holders).toHaveLength(1);
    const winner = holders[0]?.household.name;
    expect(['Ibarra', 'Fennimore']).toContain(winner);
    const loser = winner === 'Ibarra' ? fennimore : page;
    await loser
      .getByRole('alert')
      .getByText(new RegExp(`${winner} claimed it on`))
      .waitFor();
    await picture(loser, 'flow-5-told-who-has-it');
    expect(await loser.getByText(yours).count()).toBe(0);
  });

  it('swaps a container that another household accepts in its own browser', async () => {
    const shared = await read<ShareOut>(`/rounds/${roundId}/share-out`);
    const held = (name: string) => shared.parts.find(({ household }) => household.name === name)?.containers ?? [];
    const pairs = held('Oduya').flatMap((give) => held('Ibarra').map((get) => ({ give, get })));
    const pair = pairs.find(({ give, get }) => give.dish !== get.dish && !give.offered && !get.offered);
    if (!pair) throw new Error('Oduya and Ibarra hold no two different dishes');
    const oduya = await windowOf('tobias@quarry-row.example', 'phone');
    await oduya.goto(`/swaps?offer=${pair.give.id}&ask=${pair.get.id}`);
    await settled(oduya);
    await button(oduya, 'Propose it').click();
    await oduya.getByText('Ibarra see your proposal now.').waitFor();
    await picture(oduya, 'flow-6-proposed-phone');

    await page.goto('/swaps');
    await settled(page);
    const card = page.locator('section, article').filter({ hasText: 'Oduya ask you' }).last();
    await button(card, 'Accept my part').click();
    await page.getByText('Swapped with Oduya. Both lists are up to date.').waitFor();
    const after = await read<ShareOut>(`/rounds/${roundId}/share-out`);
    const codes = (name: string) =>
      after.parts.find(({ household }) => household.name === name)?.containers.map(({ code }) => code) ?? [];
    expect(codes('Ibarra')).toContain(pair.give.code);
    expect(codes('Oduya')).toContain(pair.get.code);
    // The other browser follows by itself.
    await oduya
      .getByText(/said yes/)
      .first()
      .waitFor();
  });

  it('settles, and every book balances on the screen as in the data', async () => {
    await open(page, 'account');
    await button(page, /^Settle/)
      .first()
      .click();
    const dialog = page.getByRole('dialog');
    await dialog.getByRole('textbox').fill('3');
    await button(dialog, 'Settle round 3').click();
    await page.getByText('Round 3 is settled.').first().waitFor();
    await picture(page, 'flow-7-settled');

    const books = await read<Accounts>('/accounts');
    const total = (of: (row: Accounts['households'][number]) => string) =>
      books.households.reduce((sum, row) => sum + BigInt(of(row)), 0n);
    expect(total((row) => row.moneyMinor)).toBe(0n);
    const paid = new Map(books.households.map((row) => [row.household.id, BigInt(row.moneyMinor)]));
    for (const { from, to, amountMinor } of books.paymentsDue) {
      paid.set(from.id, (paid.get(from.id) ?? 0n) + BigInt(amountMinor));
      paid.set(to.id, (paid.get(to.id) ?? 0n) - BigInt(amountMinor));
    }
    expect([...paid.values()].every((left) => left === 0n)).toBe(true);
    await page.goto('/accounts');
    await settled(page);
    for (const { from, to, amountMinor } of books.paymentsDue) {
      const words = page.getByText(new RegExp(`(${from.name}|You) pay.*${euros(amountMinor).replace('€', '€?')}`));
      await words.first().waitFor();
      expect(to.name).not.toBe(from.name);
    }
    await picture(page, 'flow-8-accounts');
  });

  it('logs no error in any of the windows', () => {
    // A refused claim is an answer of the server that Chromium logs by itself.
    const own = windows.flatMap(({ errors }) => errors).filter((text) => !/status of (401|409)/.test(text));
    expect(own).toEqual([]);
  });
});
