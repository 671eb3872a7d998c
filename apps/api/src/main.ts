import { fileURLToPath } from 'node:url';
import { createApp } from './create-app.ts';
import { ConfigError, readConfig } from './platform/config/config.ts';

export { createApp } from './create-app.ts';

/** Ends with one sentence instead of a stack for what whoever starts the process can put right. */
function refuse(sentence: string): never {
  process.stderr.write(`${sentence}\n`);
  process.exit(1);
}

async function start(): Promise<void> {
  const config = readConfig(process.env);
  const app = await createApp(config);
  app.enableShutdownHooks();
  await app.listen(config.port, config.host);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  try {
    await start();
  } catch (error) {
    if (error instanceof ConfigError) refuse(`A setting is wrong: ${error.message}`);
    if ((error as NodeJS.ErrnoException).code === 'EADDRINUSE') {
      refuse(`Port ${process.env['PORT'] ?? '4310'} is taken by another program; set PORT to a free one.`);
    }
    throw error;
  }
}
