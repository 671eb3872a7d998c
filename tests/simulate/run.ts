import { writeFileSync } from 'node:fs';
import type { Rational, Solver } from '@frostmoot/calc';
import { rational } from '@frostmoot/calc';
import { SolverPool } from '@frostmoot/solver';
import type { MethodName } from './methods.ts';
import { methods } from './methods.ts';
import type { OverOne } from './under-one.ts';
import { overOne } from './under-one.ts';
import { page, settingWords } from './page.ts';
import { picture } from './picture.ts';
import type { Setting } from './setting.ts';
import { yearOf } from './setting.ts';
import type { Year } from './year.ts';
import { dueOf, leastWorst, simulate } from './year.ts';

export interface Outcome {
  setting: Setting;
  least: Rational;
  over: OverOne;
  years: Record<MethodName, Year>;
}

const { toDecimal } = rational;
const booleans = [false, true];
const settings: Setting[] = [
  ...[8, 20, 30].flatMap((households) =>
    booleans.flatMap((excluding) =>
      booleans.map((changing): Setting => ({ households, excluding, changing, containers: 'mixed' })),
    ),
  ),
  { households: 8, excluding: true, changing: true, containers: 'even' },
  ...[8, 20, 30].map((households): Setting => ({ households, excluding: true, changing: true, containers: 'sixes' })),
];

/** One year by every method. */
async function outcomeOf(setting: Setting, solver: Solver): Promise<Outcome> {
  const year = yearOf(setting);
  const due = dueOf(year);
  const by = (name: MethodName): Year => simulate(year, due, methods[name]);
  const years = { 'by dish': by('by dish'), picking: by('picking'), ours: by('ours') };
  const over = await overOne(year, due, years.ours, solver);
  const found = { setting, least: leastWorst(year, due), over, years };
  console.log(line(found));
  return found;
}

function line({ setting, least, over, years }: Outcome): string {
  const short = (value: Rational): string => toDecimal(value, 2);
  const each = Object.entries(years).map(
    ([name, { worst, final, envious, pairs }]) =>
      `${name} ${short(worst)}, ${short(final)} at the end, envy ${envious} of ${pairs}`,
  );
  return [
    settingWords(setting),
    `at least ${short(least)}`,
    ...each,
    `over one in ${over.rounds} rounds, ${over.unavoidable} of them unavoidable; ${over.impossible} rounds that no method could end under one`,
  ].join('; ');
}

const isWriting = process.argv.includes('--write');
const only = isWriting ? undefined : process.argv[2];
const pool = new SolverPool({ threads: 1 });
const found: Outcome[] = [];
for (const setting of settings)
  if (only === undefined || String(setting.households) === only) found.push(await outcomeOf(setting, pool));
await pool.close();
if (isWriting) {
  const docs = new URL('../../../docs/', import.meta.url);
  writeFileSync(new URL('fairness.md', docs), page(found));
  writeFileSync(new URL('pictures/fairness.svg', docs), picture(found));
}
