import {
  buyPlanModel,
  buyPlanProved,
  buyProblem,
  clearBalances,
  costSplit,
  readBuyPlan,
  readRota,
  readShareOut,
  readSwapMatch,
  rotaProved,
  runSheet,
  shareOutProved,
  swapMatchProved,
} from '@frostmoot/calc';
import type { IntegerModel, Solver } from '@frostmoot/calc';
import { market } from '../builders/market.ts';
import { rotaInstance } from '../builders/rota-instance.ts';
import { drawer, shareOutInstance } from '../builders/share-out-instance.ts';
import { pairsInstance, swapInstance } from '../builders/swap-instance.ts';

/** A computation at one size. */
export interface Case {
  name: string;
  size: string;
  /** what its time is compared with from one size to the next: how much there is to compute with */
  amount: number;
  /** of the design: the median and the worst, in milliseconds, or how far ahead of CBC; told beside the figures and decides nothing */
  target?: string;
  /** the whole computation as the product runs it; gives what it says of its proof */
  run: (seed: number, solver: Solver) => Promise<string>;
  /** the plain integer program of the whole, where there is one; else CBC gets the models that the solver was asked */
  model?: (seed: number) => IntegerModel;
}

const milliseconds = 10_000;

const shareOuts = [
  [8, 4, undefined],
  [15, 6, undefined],
  [30, 10, '100 ms median, 1 s worst'],
  [60, 20, undefined],
  [100, 40, 'proved in 10 s'],
] as const;
const plans = [
  [20, 3, undefined],
  [50, 4, undefined],
  [100, 5, undefined],
  [150, 6, '50 x ahead of CBC'],
] as const;
const rotas = [
  [8, 26, undefined],
  [15, 52, undefined],
  [30, 52, '100 ms'],
] as const;

function balances(seed: number, people: number): Record<string, string> {
  const draw = drawer(seed);
  const amounts = Array.from({ length: people - 1 }, () => draw(40_001) - 20_000);
  const all = [...amounts, -amounts.reduce((a, b) => a + b, 0)];
  return Object.fromEntries(all.map((amount, i) => [`h${i}`, String(amount)]));
}

function receipt(seed: number, lines: number, people: number): unknown {
  const draw = drawer(seed);
  const shares = (): Record<string, string> =>
    Object.fromEntries(Array.from({ length: people }, (_, h) => [`h${h}`, `${1 + draw(9)}/2`]));
  return {
    lines: Array.from({ length: lines }, (_, i) => ({ id: `l${i}`, amount: String(draw(5000)), shares: shares() })),
    carried: {},
  };
}

function cookDay(seed: number, steps: number): unknown {
  const draw = drawer(seed);
  const each = Array.from({ length: steps }, (_, i) => ({
    id: `s${i}`,
    active: 5 * (1 + draw(6)),
    passive: draw(3) === 0 ? 10 * draw(6) : 0,
    hobs: draw(3) === 0 ? 1 : 0,
    after: i % 4 === 0 ? [] : [`s${i - 1}`],
  }));
  return { people: 3, hobs: 4, ovens: 1, pots: [], steps: each };
}

export const cases: readonly Case[] = [
  ...shareOuts.map(([households, dishes, target]): Case => ({
    ...{ name: 'share-out', size: `${households} x ${dishes}`, amount: households * dishes, target },
    run: async (seed, solver) =>
      (await shareOutProved(readShareOut(shareOutInstance(seed, households, dishes)), solver, { milliseconds })).proof,
  })),
  ...plans.map(([needs, sellers, target]): Case => {
    const input = (seed: number) => readBuyPlan(market(seed, needs, sellers, { freeFrom: 60, minimumOrder: 40 }));
    return {
      ...{ name: 'buy-plan', size: `${needs} x ${sellers}`, amount: needs * sellers, target },
      run: async (seed, solver) =>
        (
          await buyPlanProved(market(seed, needs, sellers, { freeFrom: 60, minimumOrder: 40 }), solver, {
            milliseconds,
          })
        ).proof,
      model: (seed) => buyPlanModel(buyProblem(input(seed))),
    };
  }),
  ...rotas.map(([households, weeks, target]): Case => ({
    ...{ name: 'rota', size: `${households} x ${weeks}`, amount: households * weeks, target },
    run: async (seed, solver) =>
      (await rotaProved(readRota(rotaInstance(seed, households, weeks)), solver, { milliseconds })).proof,
  })),
  ...[100, 300, 1000].map((offers): Case => ({
    ...{ name: 'swap-match, one size', size: `${offers} + ${offers}`, amount: offers },
    run: async (seed, solver) =>
      (await swapMatchProved(readSwapMatch(swapInstance(seed, offers, ['3'])), solver, { milliseconds })).proof,
  })),
  ...[100, 300, 1000].map((offers): Case => ({
    ...{ name: 'swap-match, four sizes', size: `${offers} + ${offers}`, amount: offers },
    target: offers === 1000 ? '300 ms' : undefined,
    run: async (seed, solver) =>
      (await swapMatchProved(readSwapMatch(swapInstance(seed, offers)), solver, { milliseconds })).proof,
  })),
  ...[64, 128, 256].map((pairs): Case => ({
    ...{ name: 'swap-match, rings of 2 and 3', size: `${pairs} pairs`, amount: pairs },
    target: pairs === 256 ? '1 s' : undefined,
    run: async (seed, solver) =>
      (await swapMatchProved(readSwapMatch(pairsInstance(seed, pairs)), solver, { milliseconds })).proof,
  })),
  ...[8, 16, 22, 60].map((people): Case => ({
    ...{ name: 'clear-balances', size: String(people), amount: people },
    run: (seed) => Promise.resolve(clearBalances({ balances: balances(seed, people) }).proof),
  })),
  ...[10, 20, 40].map((steps): Case => ({
    ...{ name: 'run-sheet', size: `${steps} steps`, amount: steps },
    run: (seed) => Promise.resolve(runSheet(cookDay(seed, steps)).proof),
  })),
  ...(
    [
      [10, 8],
      [40, 30],
      [150, 30],
    ] as const
  ).map(([lines, people]): Case => ({
    ...{ name: 'cost-split', size: `${lines} x ${people}`, amount: lines * people },
    run: (seed) => {
      costSplit(receipt(seed, lines, people));
      return Promise.resolve('exact');
    },
  })),
];
