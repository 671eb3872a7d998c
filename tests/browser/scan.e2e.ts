import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { collection, freezer, recall, recallSources } from '@frostmoot/contract';
import { cooperativeMark, labelAddress } from '@frostmoot/calc';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright-core';
import type { z } from 'zod';
import { labelPdf } from '../../apps/api/src/kitchen/label-pdf.ts';
import { type Client, ORIGIN } from '../api/harness.ts';
import { filmOfPage, pageTexts } from '../outside/print-tools.ts';
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

// A label as it is printed, held before the camera of a telephone.

let api: DemoApp;
let who: Client;
let base: string;
let roundId: string;
let householdId: string;
let cooperativeId: string;
const OTHER_COOPERATIVE = '00000000-0000-7000-8000-00000000cafe';
const folder = mkdtempSync(join(tmpdir(), 'frostmoot-scan-'));

beforeAll(async () => {
  api = await startDemo();
  ({ client: who, base, cooperativeId, householdId } = await api.signInAs(coordinator));
  const { items } = await who.ok<{ items: { id: string; stage: string }[] }>('GET', `${base}/rounds`);
  roundId = items.find(({ stage }) => stage === 'sharing')?.id ?? '';
});

afterAll(async () => {
  rmSync(folder, { recursive: true, force: true });
  await api.stop();
});

/** Flags of a Chromium whose camera sees the label of a container. */
async function camera(holder: string, code: string): Promise<string[]> {
  const path = `${base}/rounds/${roundId}/labels?sheet=single-100x62&householdId=${holder}`;
  const response = await fetch(`${api.url}/api${path}`, { headers: { cookie: who.cookie } });
  const pdf = new Uint8Array(await response.arrayBuffer());
  const page = pageTexts(pdf).findIndex((text) => text.split(' ').includes(code));
  if (page < 0) throw new Error(`No label of ${code} was printed`);
  return cameraOn(pdf, page);
}

function cameraOn(pdf: Uint8Array, page: number): string[] {
  const film = join(folder, 'film.y4m');
  writeFileSync(film, filmOfPage(pdf, page));
  return [
    '--use-fake-device-for-media-stream',
    '--use-fake-ui-for-media-stream',
    `--use-file-for-fake-video-capture=${film}`,
  ];
}

async function onPage(flags: string[], path: string, visit: Visit, act: (page: Page) => Promise<void>): Promise<void> {
  const browser = await launch(flags);
  try {
    const { context, page, errors } = await openWindow(browser, api.url, { size: 'phone', ...visit });
    await signInQuietly(context, api.url, coordinator);
    await page.goto(path);
    await settled(page);
    await act(page);
    expect(errors).toEqual([]);
  } finally {
    await browser.close();
  }
}

const ofFreezer = async () => {
  const { items } = await who.ok<z.infer<typeof freezer>>('GET', `${base}/freezer`);
  const { parts } = await who.ok<z.infer<typeof collection>>('GET', `${base}/rounds/${roundId}/collection`);
  const ofRound = new Set(parts.flatMap(({ containers }) => containers.map(({ code }) => code)));
  const found = items.find(({ code }) => ofRound.has(code));
  if (!found) throw new Error('Nothing of the round is in the freezer');
  return found;
};

describe('scanning a label', () => {
  it('in the freezer finds the container, which is then eaten', async () => {
    const { code } = await ofFreezer();
    await onPage(await camera(householdId, code), '/freezer', {}, async (page) => {
      await page.getByRole('button', { name: 'Scan a label' }).click();
      await page.getByRole('heading', { name: 'Found' }).waitFor();
      expect(new URL(page.url()).searchParams.get('find')).toBe(code);
      await page.getByRole('button', { name: new RegExp(`Eaten.*${code}`) }).click();
      await page.getByRole('button', { name: 'Undo', exact: true }).waitFor();
    });
    const { ended } = await who.ok<z.infer<typeof freezer>>('GET', `${base}/freezer`);
    expect(ended.find((each) => each.code === code)?.state).toBe('eaten');
  });

  it('of another cooperative says so and opens nothing', async () => {
    const { code } = await ofFreezer();
    const texts = [{ text: code, weight: '700' as const, times: 1 }];
    const label = {
      dish: 'Soup',
      texts: { full: texts, short: texts },
      address: labelAddress(ORIGIN, OTHER_COOPERATIVE, code),
    };
    const order = { title: 'Label', language: 'en', sheet: 'single-100x62', first: 1, madeAt: new Date(0) } as const;
    await onPage(cameraOn(await labelPdf([label], order), 0), '/freezer', {}, async (page) => {
      await page.getByRole('button', { name: 'Scan a label' }).click();
      await page.getByRole('dialog').getByText(`${code} is a label of another cooperative.`).waitFor();
      expect(new URL(page.url()).search).toBe('');
      await picture(page, 'scan-other-cooperative-phone');
    });
  });

  it('at the door ticks what leaves', async () => {
    const place = { place: 'The porch', collectBy: '2026-12-01T20:00:00.000Z' };
    await who.ok('POST', `${base}/rounds/${roundId}/collection`, place);
    const seen = () => who.ok<z.infer<typeof collection>>('GET', `${base}/rounds/${roundId}/collection`);
    const { parts } = await seen();
    const part = parts.find(
      (each) => each.household.id !== householdId && each.containers.some((own) => !own.isCollected),
    );
    const code = part?.containers.find(({ isCollected }) => !isCollected)?.code ?? '';
    const flags = await camera(part?.household.id ?? '', code);
    await onPage(flags, `/rounds/${roundId}/collect`, {}, async (page) => {
      await page.getByRole('button', { name: 'Scan a label' }).click();
      await page.getByRole('dialog').getByText(`${code} · ${part?.household.name}`).waitFor();
      await picture(page, 'scan-at-the-door-phone');
    });
    const after = (await seen()).parts.flatMap(({ containers }) => containers).find((each) => each.code === code);
    expect(after?.handedOver?.to.name).toBe(part?.household.name);
  });

  it.each<Visit>([
    { look: 'light', language: 'en' },
    { look: 'dark', language: 'es' },
    { look: 'light', language: 'ar' },
  ])('says in words that the camera was refused, and takes the code, $look, $language', async (visit) => {
    const { code } = await ofFreezer();
    const flags = ['--use-fake-device-for-media-stream', '--use-fake-ui-for-media-stream=deny'];
    await onPage(flags, '/freezer', visit, async (page) => {
      await page.locator('.button-main').first().click();
      await page.getByRole('dialog').getByRole('alert').waitFor();
      expect([await axeFindings(page), await sidewaysScroll(page)]).toEqual([[], 0]);
      await picture(page, `scan-refused-phone-${visit.look}-${visit.language}`);
      await page.getByRole('dialog').getByRole('textbox').fill(code.toLowerCase());
      await page.getByRole('dialog').getByRole('textbox').press('Enter');
      await page.waitForURL((address) => address.searchParams.get('find') === code);
    });
  });

  it('says in words that there is no camera over plain http', async () => {
    await onPage([], '/freezer', {}, async (page) => {
      await page.addInitScript(() => Object.defineProperty(globalThis, 'isSecureContext', { value: false }));
      await page.reload();
      await page.getByRole('button', { name: 'Scan a label' }).click();
      await page
        .getByRole('alert')
        .getByText(/only to addresses that begin with https/)
        .waitFor();
    });
  });

  it('in a recall says that the container is one of them, and sets it apart', async () => {
    const { code } = await ofFreezer();
    // Printed before the recall, as a label on a container is.
    const flags = await camera(householdId, code);
    const { batches } = await who.ok<z.infer<typeof recallSources>>('GET', `${base}/recall-sources`);
    const sourceId = batches.find(({ lotCode }) => code.startsWith(`${lotCode}-`))?.id;
    const begun = await who.ok<z.infer<typeof recall>>('POST', `${base}/recalls`, {
      source: 'batch',
      sourceId,
      drill: false,
    });
    const fate = async () => {
      const { mine } = await who.ok<z.infer<typeof recall>>('GET', `${base}/recalls/${begun.id}`);
      return mine.find((each) => each.code === code)?.fate;
    };
    expect(await fate()).toBe('none');
    await onPage(flags, `/recalls/${begun.id}`, {}, async (page) => {
      await page.getByRole('button', { name: 'Scan a label' }).click();
      const dialog = page.getByRole('dialog');
      await dialog.getByText(/this one is recalled\. Do not eat it\./).waitFor();
      await picture(page, 'scan-in-a-recall-phone');
      await dialog.getByRole('textbox').fill('R9-Z9-9');
      await dialog.getByRole('textbox').press('Enter');
      await dialog.getByText('R9-Z9-9 is not among the recalled containers of your household.').waitFor();
      await dialog.getByRole('textbox').fill(code);
      await dialog.getByRole('textbox').press('Enter');
      await dialog.getByRole('button', { name: 'Set apart' }).click();
      await dialog.getByText(/recalled, and answered already/).waitFor();
      await page.waitForFunction(() => localStorage.getItem('frostmoot.waiting') === '[]');
      // Opened again it says nothing of the time before.
      await dialog.getByRole('textbox').fill('R9-Z9-9');
      await dialog.getByRole('textbox').press('Enter');
      await dialog.getByText(/^R9-Z9-9/).waitFor();
      await dialog.getByRole('button', { name: 'Done' }).click();
      await page.getByRole('button', { name: 'Scan a label' }).click();
      await dialog.getByRole('textbox').waitFor();
      expect(await dialog.getByText(/^R9-Z9-9/).count()).toBe(0);
    });
    expect(await fate()).toBe('set-apart');
  });
});

describe("a telephone's own camera on a label", () => {
  it('opens the container, whatever the case of the address', async () => {
    const { code } = await ofFreezer();
    const address = `/L/${cooperativeMark(cooperativeId).toLowerCase()}/${code.toLowerCase()}`;
    await onPage([], address, {}, async (page) => {
      await page.getByRole('heading', { name: 'Found' }).waitFor();
      expect(new URL(page.url()).searchParams.get('code')).toBe(code);
    });
  });

  it.each<Visit & { says: string }>([
    { look: 'light', language: 'en', says: 'Label of another cooperative' },
    { look: 'dark', language: 'es', says: 'Etiqueta de otra cooperativa' },
    { look: 'light', language: 'ar', says: 'ملصق تعاونية أخرى' },
  ])('of another cooperative opens nothing and says so, $look, $language', async ({ says, ...visit }) => {
    const { code } = await ofFreezer();
    await onPage([], `/L/${cooperativeMark(OTHER_COOPERATIVE)}/${code}`, visit, async (page) => {
      await page.getByRole('heading', { name: says }).waitFor();
      expect(await page.getByRole('main').innerText()).toContain(code);
      expect([await axeFindings(page), await sidewaysScroll(page)]).toEqual([[], 0]);
      await picture(page, `label-other-cooperative-phone-${visit.look}-${visit.language}`);
    });
  });
});

describe('the reader of labels', () => {
  const assets = fileURLToPath(new URL('../../apps/web/dist/assets', import.meta.url));
  /** The scripts that come with a script at once: what it imports other than by a call of `import()`, and so on. */
  const withAll = (script: string, known = new Set<string>()): Set<string> => {
    if (known.has(script)) return known;
    known.add(script);
    const source = readFileSync(join(assets, script), 'utf8');
    for (const [, name] of source.matchAll(/(?:\bfrom|\bimport)\s*["'`]\.\/([^"'`]+\.js)["'`]/g))
      withAll(name ?? '', known);
    return known;
  };
  const scripts = readdirSync(assets).filter((name) => name.endsWith('.js'));

  it('comes with no page, only when it is asked for', () => {
    const readers = scripts.filter((name) => readFileSync(join(assets, name), 'utf8').includes('zxing_reader'));
    const pages = scripts.filter((name) => /^index-|-page-/.test(name));
    expect([readers.length, pages.length > 20]).toEqual([1, true]);
    // The way there is followed rightly: the freezer's page does bring the button that asks for it.
    const [freezerPage = ''] = scripts.filter((name) => name.startsWith('freezer-page-'));
    expect([...withAll(freezerPage)].some((name) => name.startsWith('scan-button-'))).toBe(true);
    expect(pages.filter((name) => readers.some((reader) => withAll(name).has(reader)))).toEqual([]);
  });

  it('is asked for by the press and comes from our own address', async () => {
    const browser = await launch(['--use-fake-device-for-media-stream', '--use-fake-ui-for-media-stream']);
    try {
      const { context, page } = await openWindow(browser, api.url, { size: 'phone' });
      await signInQuietly(context, api.url, coordinator);
      const asked: string[] = [];
      page.on('request', (request) => asked.push(request.url()));
      await page.goto('/');
      await settled(page);
      await page.goto('/freezer');
      await settled(page);
      const ofReader = () => asked.filter((address) => /scan-view|\.wasm/.test(address));
      expect(ofReader()).toEqual([]);
      const wasm = page.waitForResponse((response) => response.url().endsWith('.wasm'));
      await page.getByRole('button', { name: 'Scan a label' }).click();
      const response = await wasm;
      expect([response.status(), response.headers()['content-type']]).toEqual([200, 'application/wasm']);
      expect(new Set(asked.map((address) => new URL(address).origin)).size).toBe(1);
    } finally {
      await browser.close();
    }
  });
});
