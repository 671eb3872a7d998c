import {
  clearBalances,
  costSplit,
  buyPlan,
  rota,
  runSheet,
  shareOut,
  swapMatch,
  verifyBuyPlan,
  verifyClearBalances,
  verifyCostSplit,
  verifyRota,
  verifyRunSheet,
  verifyShareOut,
  verifySwapMatch,
} from '@frostmoot/calc';
import { describe, expect, it } from '@jest/globals';
import { goldenCases } from '../calc/golden-cases.ts';
import { shareOutInstance } from '../builders/share-out-instance.ts';
import { singleChanges } from './single-changes.ts';

interface Checked {
  compute: (input: unknown) => unknown;
  verify: (input: unknown, output: never) => readonly unknown[];
  /** words that stand where the result has only some of them */
  words?: Record<string, readonly string[]>;
  /** changes after which the result says less, or another thing that is as true, and why */
  fine?: readonly RegExp[];
  inputs: Record<string, unknown>;
}

const golden = (command: string): Record<string, unknown> =>
  Object.fromEntries(
    goldenCases.filter((each) => each.command === command).map(({ name, input }) => [`golden ${name}`, input]),
  );
const proofs = ['optimal', 'bounded', 'constructive'];

const checked: Record<string, Checked> = {
  'share-out': {
    compute: shareOut,
    verify: verifyShareOut,
    words: { proof: [...proofs, 'shown', 'searched', 'open'] },
    // Less is said of the proof than is known: a search instead of a mark, or nothing, where the whole is not called optimal.
    fine: [/proof from shown to (searched|open)$/, /^\/proof from constructive to bounded$/, /^\/stages left out$/],
    inputs: {
      ...golden('share-out'),
      'five households and three dishes': shareOutInstance(1, 5, 3),
      'what is liked and disliked': shareOutInstance(2, 4, 3, { refusing: 60, scoring: 80 }),
    },
  },
  'buy-plan': { compute: buyPlan, verify: verifyBuyPlan, words: { proof: proofs }, inputs: golden('buy-plan') },
  rota: {
    compute: rota,
    verify: verifyRota,
    words: { proof: proofs },
    // Less is said of the proof than is known.
    fine: [/^\/proof from optimal to constructive$/],
    inputs: golden('rota'),
  },
  'swap-match': {
    compute: swapMatch,
    verify: verifySwapMatch,
    words: { proof: proofs },
    // No short proof tells a bound that is a portion better or worse.
    fine: [/^\/atMost from/],
    inputs: golden('swap-match'),
  },
  'run-sheet': {
    compute: runSheet,
    verify: verifyRunSheet,
    words: { proof: proofs },
    // With others at the same step or a free hob, who stands where is the same day.
    fine: [/^\/steps\/\d+\/(people|hobs)\/\d+ (from 1 to 2|less)/],
    inputs: golden('run-sheet'),
  },
  'clear-balances': {
    compute: clearBalances,
    verify: verifyClearBalances,
    words: { proof: proofs },
    inputs: {
      ...golden('clear-balances'),
      'seven of any amount': { balances: { a: '1250', b: '-830', c: '17', d: '-440', e: '3', f: '501', g: '-501' } },
    },
  },
  'cost-split': { compute: costSplit, verify: verifyCostSplit, inputs: golden('cost-split') },
};

const cases = Object.entries(checked).flatMap(([command, { inputs, ...rest }]) =>
  Object.entries(inputs).map(([name, input]) => [command, name, { input, ...rest }] as const),
);

describe('a result with one thing changed', () => {
  it.each(cases)('is refused by the verifier of %s (%s)', (_, __, { input, compute, verify, words, fine = [] }) => {
    const result = compute(input);
    const found = (output: unknown): readonly unknown[] => {
      try {
        return verify(input, output as never);
      } catch (error) {
        // A part that is not there at all is no result, see the readers of the command line.
        if (error instanceof TypeError) return [error];
        throw error;
      }
    };
    expect(found(result)).toEqual([]);
    const changes = singleChanges(result, words);
    const accepted = changes.filter((change) => {
      if (fine.some((pattern) => pattern.test(change.what))) return false;
      return found(change.result).length === 0;
    });
    expect(accepted.map(({ kind, what }) => `${kind}: ${what}`)).toEqual([]);
    expect(changes.length).toBeGreaterThan(5);
  });
});
