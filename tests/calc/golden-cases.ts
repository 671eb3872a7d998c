import { readdirSync, readFileSync } from 'node:fs';

/** One worked case: what goes in, what must come out, and who says so. */
export interface GoldenCase {
  command: string;
  name: string;
  source: string;
  input: unknown;
  output: unknown;
}

const folder = new URL('../../shared/golden/', import.meta.url);

const named = (url: URL): string[] =>
  readdirSync(url)
    .filter((name) => !name.startsWith('.'))
    .sort();

/** Every case of shared/golden/, one folder per calculation. */
export const goldenCases: readonly GoldenCase[] = named(folder).flatMap((command) =>
  named(new URL(`${command}/`, folder)).map((file) => {
    const text = readFileSync(new URL(`${command}/${file}`, folder), 'utf8');
    const { source, input, output } = JSON.parse(text) as Omit<GoldenCase, 'command' | 'name'>;
    return { command, name: file.replace(/\.json$/, ''), source, input, output };
  }),
);

/** The same value with every list and every record the other way round. */
export function turnedRound(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(turnedRound).reverse();
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(
    Object.entries(value)
      .reverse()
      .map(([key, member]) => [key, turnedRound(member)]),
  );
}
