// The built API without a port, as a process that does jobs and can be killed. Its one kind of job counts up to `to`, waiting `ms` before each step.
import { setTimeout as pause } from 'node:timers/promises';
import { createApp } from '../../apps/api/dist/create-app.js';
import { readConfig } from '../../apps/api/dist/platform/config/config.js';
import { Jobs } from '../../apps/api/dist/platform/jobs/jobs.service.js';

const app = await createApp(readConfig(process.env));
const say = (/** @type {string} */ words) => process.stdout.write(`${words}\n`);
app.get(Jobs).register({
  kind: 'count',
  run: async ({ id, input }, report, signal) => {
    const { to, ms } = /** @type {{ to: number, ms: number }} */ (input);
    say(`begins ${id}`);
    let n = 0;
    while (n < to && !signal.aborted) {
      await pause(ms, undefined, { signal }).catch(() => undefined);
      if (signal.aborted) break;
      n += 1;
      report({ stage: 1, of: 2, code: 'counting', best: { n } });
    }
    say(`ends ${id}`);
    return { n };
  },
});
say('ready');
process.on('SIGTERM', () => void app.close().then(() => process.exit(0)));
