import axe, { type AxeResults } from 'axe-core';
import { mkdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { chromium, type Browser, type BrowserContext, type Page } from 'playwright-core';
import { chromiumArguments, chromiumPath } from '../../tools/chromium.mjs';
import { PASSWORD } from './demo-app.ts';

const sizes = { phone: { width: 390, height: 844 }, laptop: { width: 1366, height: 900 } };
export type Size = keyof typeof sizes;
export type Look = 'light' | 'dark';
export type Language = 'en' | 'es' | 'ar';

const screenshots = fileURLToPath(new URL('./screenshots', import.meta.url));

export function launch(more: readonly string[] = []): Promise<Browser> {
  return chromium.launch({ executablePath: chromiumPath(), args: [...chromiumArguments, ...more] });
}

export interface Visit {
  size?: Size;
  look?: Look;
  language?: Language;
  /** The page's clock stands still here, as the server's does: what is entered must not lie ahead of the server's day. */
  now?: string;
}

/** A window of its own: cookies, language and look are not shared with others. What a page logs as an error is kept in `errors`. */
export async function openWindow(
  browser: Browser,
  url: string,
  { size = 'laptop', look = 'light', language = 'en', now }: Visit = {},
): Promise<{ context: BrowserContext; page: Page; errors: string[] }> {
  const context = await browser.newContext({
    baseURL: url,
    viewport: sizes[size],
    colorScheme: look,
    reducedMotion: 'reduce',
    locale: language,
    timezoneId: 'Europe/Madrid',
  });
  // For what never comes: a page may take its time on a busy machine.
  context.setDefaultTimeout(300_000);
  if (now !== undefined) await context.clock.setFixedTime(now);
  await context.addInitScript((chosen) => localStorage.setItem('frostmoot.language', chosen), language);
  const page = await context.newPage();
  const errors: string[] = [];
  page.on('pageerror', (error) => errors.push(error.message));
  page.on('console', (message) => {
    if (message.type() === 'error') errors.push(message.text());
  });
  return { context, page, errors };
}

/** Signs in through the page, as a person does. */
export async function signInOnPage(page: Page, email: string): Promise<void> {
  await page.goto('/sign-in');
  await page.getByLabel('E-mail address').fill(email);
  await page.getByLabel('Password').fill(PASSWORD);
  await page.getByRole('button', { name: 'Sign in', exact: true }).click();
  await page.getByRole('heading', { level: 1, name: 'This week' }).waitFor();
}

/** Gives the window the session of a person without the page, for tests that are about something else. */
export async function signInQuietly(context: BrowserContext, url: string, email: string): Promise<void> {
  const response = await context.request.post(`${url}/api/sign-in`, {
    data: { email, password: PASSWORD },
    headers: { origin: 'http://localhost:4310' },
  });
  if (!response.ok()) throw new Error(`Sign-in answered ${response.status()}: ${await response.text()}`);
}

/** Waits until the page has its heading and nothing is loading any more. */
export async function settled(page: Page): Promise<void> {
  await page.locator('h1').first().waitFor();
  await page.waitForFunction(() => document.querySelector('.loading') === null);
  await page.evaluate(() => document.fonts.ready.then(() => undefined));
}

interface Engine {
  run(what: Document, how: object): Promise<AxeResults>;
}

/** What WCAG 2.2 A and AA rules of axe-core find, as 'rule: element'. */
export async function axeFindings(page: Page): Promise<string[]> {
  // Not as a script tag, which the content security policy rightly refuses.
  await page.evaluate(axe.source);
  return page.evaluate(async () => {
    const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
    const { axe: engine } = globalThis as unknown as { axe: Engine };
    const { violations } = await engine.run(document, { runOnly: { type: 'tag', values: tags } });
    return violations.flatMap(({ id, nodes }) => nodes.map((node) => `${id}: ${node.html.slice(0, 160)}`));
  });
}

/** Elements that reach over the edge of the window: the page would scroll sideways. */
export function sidewaysScroll(page: Page): Promise<number> {
  return page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
}

/** Keeps a picture of the whole page in the git-ignored folder. */
export async function picture(page: Page, name: string): Promise<void> {
  mkdirSync(screenshots, { recursive: true });
  await page.screenshot({ path: `${screenshots}/${name}.png`, fullPage: true });
}

/** Lets the requests go on their way only once each page has sent its own, so that none can see the other's effect first. */
export async function holdUntilAllHaveSent(pages: Page[], url: string): Promise<void> {
  let sent = 0;
  let release: () => void = () => undefined;
  const all = new Promise<void>((resolve) => (release = resolve));
  for (const each of pages) {
    await each.route(url, async (route) => {
      sent += 1;
      if (sent === pages.length) release();
      await all;
      await route.continue();
    });
  }
}
