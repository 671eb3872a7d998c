import { afterAll, beforeAll, expect, it } from '@jest/globals';
import type { kitchen, round, runSheet } from '@frostmoot/contract';
import type { Browser } from 'playwright-core';
import type { z } from 'zod';
import type { Client } from '../api/harness.ts';
import { axeFindings, launch, openWindow, picture, settled, sidewaysScroll, signInQuietly } from './chromium.ts';
import { coordinator, startDemo, type DemoApp } from './demo-app.ts';

let api: DemoApp;
let browser: Browser;
let reader: Client;
let base: string;
let day: { roundId: string; cookDayId: string };

const sheetNow = async (): Promise<z.infer<typeof runSheet>['sheet']> =>
  (await reader.ok<z.infer<typeof runSheet>>('GET', `${base}/cook-days/${day.cookDayId}/run-sheet`)).sheet;

beforeAll(async () => {
  api = await startDemo();
  browser = await launch();
  ({ client: reader, base } = await api.signInAs(coordinator));
  const { items } = await reader.ok<{ items: z.infer<typeof round>[] }>('GET', `${base}/rounds`);
  for (const { id } of items.filter(({ stage }) => ['planning', 'buying', 'cooking'].includes(stage))) {
    const { cookDays } = await reader.ok<z.infer<typeof kitchen>>('GET', `${base}/rounds/${id}/kitchen`);
    if (cookDays[0]) day = { roundId: id, cookDayId: cookDays[0].id };
  }
});

afterAll(async () => {
  await browser.close();
  await api.stop();
});

it('a run sheet is begun on a telephone, left, and found worked out', async () => {
  const { context, page, errors } = await openWindow(browser, api.url, { size: 'phone' });
  await signInQuietly(context, api.url, coordinator);
  const before = await sheetNow();
  await page.goto(`/rounds/${day.roundId}/cook`);
  await settled(page);
  await picture(page, 'run-sheet-before');
  const start = page.getByRole('button', { name: /^Work it out/ });
  const answered = page.waitForResponse(
    (response) => response.request().method() === 'POST' && response.status() === 202,
  );
  await start.click();
  await answered;
  await picture(page, 'run-sheet-begun');
  expect(await axeFindings(page)).toEqual([]);
  await page.goto('/');
  await settled(page);
  await page.goto(`/rounds/${day.roundId}/cook`);
  await page.getByRole('button', { name: 'Work it out again' }).waitFor();
  await settled(page);
  const after = await sheetNow();
  expect([after?.isCurrent, after?.id === before?.id]).toEqual([true, false]);
  await picture(page, 'run-sheet-after');
  expect([await axeFindings(page), await sidewaysScroll(page), errors]).toEqual([[], 0, []]);
  await context.close();
});

it('labels on another sheet begin at its first place, in the field and in print', async () => {
  const { items } = await reader.ok<{ items: z.infer<typeof round>[] }>('GET', `${base}/rounds`);
  const { context, page } = await openWindow(browser, api.url);
  await signInQuietly(context, api.url, coordinator);
  await page.goto(`/rounds/${items.find(({ stage }) => stage === 'sharing')?.id}/share-out`);
  await page.getByRole('button', { name: 'Print labels', exact: true }).click();
  await page.getByLabel('Printed on').selectOption('a4-24');
  const first = page.getByLabel('First free label on the sheet');
  await first.selectOption('20');
  await page.getByLabel('Printed on').selectOption('a4-14');
  expect([await first.inputValue(), await first.locator('option').count()]).toEqual(['1', 14]);
  const asked = page.waitForRequest((request) => /\/labels\?/.test(request.url()));
  await page.getByRole('button', { name: 'Make the labels' }).click();
  const { searchParams } = new URL((await asked).url());
  expect([searchParams.get('sheet'), searchParams.get('first')]).toEqual(['a4-14', '1']);
  await context.close();
});
