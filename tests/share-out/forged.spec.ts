import { rational, readShareOut, shareOutProved, verifyShareOut, writeShareOut } from '@frostmoot/calc';
import type { Rational, ShareOutOutput } from '@frostmoot/calc';
import { SolverPool } from '@frostmoot/solver';
import { afterAll, describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { drawer, shareOutInstance } from '../builders/share-out-instance.ts';
import type { ShareOutInstance } from '../builders/share-out-instance.ts';
import { evaluator } from './objective.ts';

const { format, parse, rational: fraction } = rational;
const pool = new SolverPool({ threads: 1 });
afterAll(() => pool.close());

const prove = async (given: unknown): Promise<ShareOutOutput> =>
  writeShareOut(await shareOutProved(readShareOut(given), pool, { milliseconds: 30_000 }));

/** The same result with other containers and every figure made to fit them, as a forger would. */
function forged(
  given: ShareOutInstance,
  output: ShareOutOutput,
  containers: ShareOutOutput['containers'],
): ShareOutOutput {
  const input = readShareOut(given);
  const target = input.households.map(({ id }) => parse(output.target[id] ?? '0'));
  const { objective, off } = evaluator(
    input,
    target,
  )((h, l) => containers[input.households[h]?.id ?? '']?.[input.lots[l]?.id ?? ''] ?? 0);
  const ids = input.households.map(({ id }) => id);
  const texts = (value: (h: number) => Rational) => Object.fromEntries(ids.map((id, h) => [id, format(value(h))]));
  const nil = fraction(0n);
  return {
    ...output,
    containers,
    received: texts((h) => rational.add(target[h] ?? nil, off[h] ?? nil)),
    owedAfter: texts((h) => rational.neg(off[h] ?? nil)),
    objective: {
      unallotted: objective.unallotted,
      squaredDeviation: format(objective.squares),
      refused: objective.refused,
      outsideFairShare: objective.outside,
      score: objective.score,
    },
  };
}

describe('the verifier, given a forged result', () => {
  it('refuses every container moved or exchanged, even with all figures made to fit, unless it is as near as before', async () => {
    let refused = 0;
    await fc.assert(
      fc.asyncProperty(fc.nat(200), fc.nat(), async (seed, choice) => {
        const given = shareOutInstance(seed, 6, 4, { refusing: 30, sizes: seed % 2 ? [3] : [2, 3, 4] });
        const output = await prove(given);
        const draw = drawer(choice);
        const [from, to] = [draw(6), draw(6)].map((h) => given.households[h]?.id ?? '');
        const lots = Object.keys(output.containers[from ?? ''] ?? {});
        const lot = lots[draw(lots.length)];
        fc.pre(from !== to && lot !== undefined && from !== undefined && to !== undefined);
        const containers = structuredClone(output.containers);
        const move = (a: string, b: string, l: string): void => {
          (containers[a] ??= {})[l] = (containers[a]?.[l] ?? 0) - 1;
          if (containers[a]?.[l] === 0) delete containers[a][l];
          (containers[b] ??= {})[l] = (containers[b]?.[l] ?? 0) + 1;
        };
        move(from ?? '', to ?? '', lot ?? '');
        const back = Object.keys(output.containers[to ?? ''] ?? {}).find((l) => l !== lot);
        if (choice % 2 && back) move(to ?? '', from ?? '', back);
        const forgery = forged(given, output, containers);
        const found = verifyShareOut(given, forgery);
        const near = output.stages?.find(({ stage }) => stage === 'squaredDeviation')?.proof === 'shown';
        if (near && forgery.objective.squaredDeviation !== output.objective.squaredDeviation)
          expect(found).not.toEqual([]);
        if (found.length > 0) refused++;
      }),
      { numRuns: 200 },
    );
    expect(refused).toBeGreaterThan(120);
  });

  it('refuses a forged exchange of dishes with containers of one size', async () => {
    // Both would be content with what the other dislikes; the forger turns the dishes round and lets the figures fit.
    const given: ShareOutInstance = {
      seed: 's',
      households: [
        { id: 'a', weight: '1', owed: '0', excludes: [], refuses: ['pie'], scores: {} },
        { id: 'b', weight: '1', owed: '0', excludes: [], refuses: ['stew'], scores: {} },
      ],
      lots: [
        { id: 'l', dish: 'stew', containers: 4, portions: 2 },
        { id: 'm', dish: 'pie', containers: 4, portions: 2 },
      ],
    };
    const output = await prove(given);
    expect(output.objective.refused).toBe(0);
    const forgery = forged(given, output, { a: { l: 3, m: 1 }, b: { l: 1, m: 3 } });
    expect(verifyShareOut(given, forgery).map(({ code, stage }) => `${code} ${stage}`)).toContain('not-shown refused');
  });

  it.each<[string, (copy: ShareOutOutput) => void]>([
    ['a claim dropped', (copy) => delete copy.containers.h1],
    ['a figure of what is due', (copy) => (copy.entitlement['household 1'] = '1')],
    ['a figure of what is owed', (copy) => (copy.owedAfter['household 1'] = '0')],
    ['a figure of the objective', (copy) => (copy.objective.outsideFairShare -= 1)],
    ['a stage said to be shown', (copy) => copy.stages?.forEach((stage) => (stage.proof = 'shown'))],
    ['a stage left out', (copy) => copy.stages?.pop()],
    ['garbage for a number', (copy) => (copy.target['household 2'] = '1/0')],
  ])('refuses %s', async (name, change) => {
    const given = shareOutInstance(5, 9, 5, { scoring: 60 });
    const output = await prove(given);
    expect(output.stages?.some(({ proof }) => proof === 'searched')).toBe(true);
    const copy = structuredClone(output);
    if (name === 'a claim dropped') {
      const [id = '', lots = {}] = Object.entries(copy.containers)[0] ?? [];
      const [lot = ''] = Object.keys(lots);
      (copy.containers[id] ?? {})[lot] = (copy.containers[id]?.[lot] ?? 0) - 1;
    } else change(copy);
    expect(verifyShareOut(given, copy)).not.toEqual([]);
  });
});
