import { fork } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { readShareOut, shareOutProved, verifyShareOut, writeShareOut } from '@frostmoot/calc';
import { SolverPool } from '@frostmoot/solver';
import { drawer, shareOutInstance } from '../builders/share-out-instance.ts';
import { middle } from './measure.ts';

/** The real function gives a proof this long, as the service does. */
const milliseconds = 5000;

interface Part {
  times: number[];
  proofs: Record<string, number>;
  wrong: number;
}

/** Shares out every second, third, ... cooperative of so many, one after the other. */
export async function sharePart(from: number, count: number, step: number): Promise<Part> {
  const pool = new SolverPool({ threads: 1 });
  const part: Part = { times: [], proofs: {}, wrong: 0 };
  for (let n = from; n < count; n += step) {
    // Three to thirty households, mostly under a dozen, and two to ten dishes.
    const draw = drawer(n);
    const households = 3 + Math.min(draw(28), draw(28));
    const input = shareOutInstance(n, households, 2 + draw(9), { scoring: draw(4) === 0 ? 40 : 0 });
    const begun = performance.now();
    const output = writeShareOut(await shareOutProved(readShareOut(input), pool, { milliseconds }));
    if (verifyShareOut(input, output).length > 0) part.wrong += 1;
    part.times.push(performance.now() - begun);
    part.proofs[output.proof] = (part.proofs[output.proof] ?? 0) + 1;
  }
  await pool.close();
  return part;
}

/** So many made-up cooperatives shared out and verified by two processes, and how long that takes. */
export async function cooperatives(count: number): Promise<string> {
  const processes = 2;
  const begun = performance.now();
  const main = fileURLToPath(new URL('./run.js', import.meta.url));
  const parts = await Promise.all(
    Array.from(
      { length: processes },
      (_, i) =>
        new Promise<Part>((resolve, reject) => {
          const child = fork(main, ['part', String(i), String(count), String(processes)]);
          let part: Part | undefined;
          child.on('message', (message) => (part = message as Part));
          child.on('exit', (code) => (part ? resolve(part) : reject(new Error(`A part ended with ${code}.`))));
        }),
    ),
  );
  const seconds = (performance.now() - begun) / 1000;
  const times = parts.flatMap((part) => part.times);
  const proofs = new Map<string, number>();
  for (const part of parts)
    for (const [proof, n] of Object.entries(part.proofs)) proofs.set(proof, (proofs.get(proof) ?? 0) + n);
  const wrong = parts.reduce((total, part) => total + part.wrong, 0);
  return [
    `${count} cooperatives shared out, proved and verified in ${seconds.toFixed(1)} s by ${processes} processes;`,
    `at that rate 10,000 take ${((seconds / count) * 10_000).toFixed(0)} s (wanted: under 600 s on two quiet cores).`,
    `One takes ${middle(times).toFixed(1)} ms in the median, ${Math.max(...times).toFixed(0)} ms at worst.`,
    `Proofs: ${[...proofs].map(([proof, n]) => `${n} ${proof}`).join(', ')}. Refused by the verifier: ${wrong}.`,
  ].join('\n');
}
