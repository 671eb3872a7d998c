import { createApp } from './create-app.ts';
import { DemoClient } from './demo/demo-client.ts';
import { loadDemo } from './demo/load.ts';
import { readScenario } from './demo/scenario.ts';
import { summarise } from './demo/summary.ts';
import { readConfig, type Config } from './platform/config/config.ts';

// `node demo.js` fills the made-up cooperative; `node demo.js --summary` prints its round as JSON.
const config: Config = { ...readConfig(process.env), logLevel: 'error' };
const app = await createApp(config);
try {
  if (process.argv.includes('--summary')) {
    const { accounts } = await readScenario(config.demoDir);
    const client = new DemoClient(app, new URL(config.publicUrl).origin);
    process.stdout.write(`${JSON.stringify(await summarise(client, accounts))}\n`);
  } else {
    await loadDemo(app, config);
  }
} finally {
  await app.close();
}
