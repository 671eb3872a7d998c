import { setTimeout as delay } from 'node:timers/promises';

/** Beyond what any test takes on a loaded machine: only what never comes about ends here. */
const PATIENCE_MS = 840_000;

/** Asks again until it is so. */
export async function until(isSo: () => boolean | Promise<boolean>): Promise<void> {
  for (const begun = performance.now(); !(await isSo());) {
    if (performance.now() - begun > PATIENCE_MS) throw new Error(`It has not come about: ${isSo.toString()}`);
    await delay(25);
  }
}
