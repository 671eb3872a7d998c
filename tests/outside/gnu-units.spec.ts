import { spawnSync } from 'node:child_process';
import { readFile } from 'node:fs/promises';
import { beforeAll, describe, expect, it } from '@jest/globals';
import { celsiusOf, findUnit, rational } from '@frostmoot/calc';
import type { Measures } from '@frostmoot/calc';

const { eq, parse, toDecimal } = rational;

interface Row {
  id: string;
  dimension: string;
  inBase: string;
  measures?: Measures;
  gnuUnits?: string;
}

const table = JSON.parse(await readFile(new URL('../../shared/reference/units.json', import.meta.url), 'utf8')) as {
  units: Row[];
};
const measured = table.units.filter(({ dimension }) => ['mass', 'volume', 'count'].includes(dimension));
const baseOf: Record<string, string> = { mass: 'g', volume: 'ml', count: '1' };

const missing =
  'GNU units is not installed. On Debian and Ubuntu: apt-get install -y units; on macOS: brew install gnu-units, and put its folder on the PATH as units.';

/** Asks GNU units how many of `to` are in one `from`, in its 15 digits. */
function gnuUnits(from: string, to: string): string {
  const { error, status, stdout, stderr } = spawnSync('units', ['--terse', '--digits', '15', from, to], {
    encoding: 'utf8',
  });
  if (error) throw new Error(missing, { cause: error });
  if (status !== 0) throw new Error(`units ${from} ${to}: ${stdout}${stderr}`);
  return stdout.trim();
}

describe('every unit that has a size, against GNU units', () => {
  beforeAll(() => {
    const { stdout } = spawnSync('units', ['--version'], { encoding: 'utf8' });
    // macOS has another program of this name, without the kitchen measures.
    if (!stdout?.startsWith('GNU Units')) throw new Error(missing);
  });

  it.each(measured)('$id ($measures) is $inBase', ({ id, dimension, inBase, measures, gnuUnits: name }) => {
    const unit = findUnit(id, measures ?? 'us');
    if (!unit || !name) throw new Error(`${id} is not in use, or has no name in GNU units.`);
    expect(unit.dimension).toBe(dimension);
    expect(eq(unit.inBase, parse(inBase))).toBe(true);
    expect(eq(parse(gnuUnits(name, baseOf[dimension] ?? '')), unit.inBase)).toBe(true);
  });

  it('the chain of the kitchen: 3 tsp, 16 tbsp, 2 cups, 2 pt, 4 qt (also US Armed Forces Recipe Service, No. 1(3))', () => {
    for (const [greater, lesser, count] of [
      ['ustbsp', 'ustsp', '3'],
      ['uscup', 'ustbsp', '16'],
      ['uspint', 'uscup', '2'],
      ['usquart', 'uspint', '2'],
      ['usgallon', 'usquart', '4'],
    ] as const) {
      expect(gnuUnits(greater, lesser)).toBe(count);
    }
  });

  it.each([-40, 0, 41, 70, 135, 165, 212])('%i F in Celsius', (fahrenheit) => {
    const ours = toDecimal(celsiusOf(parse(String(fahrenheit))), 9);
    expect(Number(gnuUnits(`tempF(${fahrenheit})`, 'tempC'))).toBeCloseTo(Number(ours), 8);
  });
});
