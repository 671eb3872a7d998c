import { spawn, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { ORIGIN } from '../api/harness.ts';

export interface Process {
  child: ChildProcess;
  url: string;
}

/** The built API as a process of its own on the test's database. */
export async function startProcess(databaseUrl: string, now: string): Promise<Process> {
  const child = spawn(process.execPath, [fileURLToPath(new URL('../../apps/api/dist/main.js', import.meta.url))], {
    env: {
      ...process.env,
      NODE_OPTIONS: '',
      DATABASE_URL: databaseUrl,
      DIRECT_DATABASE_URL: databaseUrl,
      FROSTMOOT_NOW: now,
      PUBLIC_URL: ORIGIN,
      PORT: '0',
    },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const lines = createInterface({ input: child.stdout });
  const url = await new Promise<string>((resolve, reject) => {
    lines.on('line', (line) => {
      const found = /listening at (http:[^\s"]+)/.exec(line)?.[1];
      if (found) resolve(found);
    });
    lines.on('close', () => reject(new Error('The API ended before it listened')));
  });
  return { child, url };
}

export async function endProcess({ child }: Process): Promise<void> {
  const ended = once(child, 'exit');
  child.kill('SIGTERM');
  await ended;
}
