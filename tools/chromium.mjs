// The browser of the browser tests: CHROMIUM_PATH, or a Chromium in one of its usual places.
import { existsSync } from 'node:fs';
import { access } from 'node:fs/promises';
import { run, SetupError } from './workspace.mjs';

const USUAL_PLACES = [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/snap/bin/chromium',
  '/usr/bin/google-chrome',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  'C:\\Program Files\\Chromium\\Application\\chrome.exe',
  'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe',
];

/** What chromium needs to run in a container, as root and without a display, and to fetch nothing by itself. */
export const chromiumArguments = [
  '--headless=new',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

/** @returns {string} */
export function chromiumPath() {
  const given = process.env.CHROMIUM_PATH;
  if (given && !existsSync(given)) throw new SetupError(`There is no browser at CHROMIUM_PATH (${given}).`);
  const path = given || USUAL_PLACES.find((place) => existsSync(place));
  if (path) return path;
  throw new SetupError(
    'The browser tests need Chromium: install it, or give the path of a Chromium or Chrome as CHROMIUM_PATH.',
  );
}

/** Debian's packages that the tests use, by a program of each. */
const DEBIAN_PACKAGES = {
  chromium: '/usr/bin/chromium',
  units: '/usr/bin/units',
  'coinor-cbc': '/usr/bin/cbc',
  'poppler-utils': '/usr/bin/pdftotext',
  'zbar-tools': '/usr/bin/zbarimg',
};

/** Installs what is missing when we are root on Debian. @returns {Promise<string>} what was done or is left to do, in words */
export async function installTestPrograms() {
  const missing = Object.entries(DEBIAN_PACKAGES).filter(([, program]) => !existsSync(program));
  const wanted = missing.map(([name]) => name).filter((name) => name !== 'chromium' || !process.env.CHROMIUM_PATH);
  if (wanted.length === 0) return 'all there';
  const isDebian = await access('/etc/debian_version').then(
    () => true,
    () => false,
  );
  if (!isDebian || process.getuid?.() !== 0) {
    return `not installed: ${wanted.join(', ')}; install them, and give the path of Chromium as CHROMIUM_PATH when it is in no usual place`;
  }
  const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive' };
  const aptInstall = () => run('apt-get', ['install', '--yes', '--no-install-recommends', ...wanted], { env });
  let result = await aptInstall();
  if (result.code !== 0) {
    await run('apt-get', ['update'], { env });
    result = await aptInstall();
  }
  if (result.code !== 0)
    throw new SetupError(`Debian's packages ${wanted.join(', ')} could not be installed.\n${result.output.trimEnd()}`);
  return `installed ${wanted.join(', ')}`;
}
