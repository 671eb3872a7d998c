import { buyPlan } from './buy-plan/buy-plan.ts';
import { clearBalances } from './clearing/clear-balances.ts';
import { cooling } from './cooling/cooling.ts';
import { costSplit } from './cost-split/cost-split.ts';
import { bestBefore } from './dates/best-before.ts';
import { dateMark } from './dates/date-mark.ts';
import { freezerLoad } from './freezing/freezer-load.ts';
import { freezingTime } from './freezing/freezing-time.ts';
import { planRound } from './plan-round/plan-round.ts';
import { convert } from './quantity/convert.ts';
import { explode } from './recipes/explode.ts';
import { scale } from './recipes/scale.ts';
import { servingsToBuy } from './recipes/servings-to-buy.ts';
import { rota } from './rota/rota.ts';
import { runSheet } from './run-sheet/run-sheet.ts';
import { shareOut } from './share-out/share-out.ts';
import { swapMatch } from './swap-match/swap-match.ts';

/**
 * The calculations that can be asked for by name, from the command line or by a test: each takes unknown input and gives a result for `canonicalJson`,
 * or throws a DomainError. The same input gives the same bytes, in whatever order its lists are.
 */
export const commands = {
  'best-before': bestBefore,
  'buy-plan': buyPlan,
  'clear-balances': clearBalances,
  convert,
  cooling,
  'cost-split': costSplit,
  'date-mark': dateMark,
  explode,
  'freezer-load': freezerLoad,
  'freezing-time': freezingTime,
  'plan-round': planRound,
  rota,
  'run-sheet': runSheet,
  scale,
  'servings-to-buy': servingsToBuy,
  'share-out': shareOut,
  'swap-match': swapMatch,
} as const satisfies Record<string, (input: unknown) => unknown>;

export type CommandName = keyof typeof commands;

export const commandNames = Object.keys(commands) as CommandName[];

export const isCommandName = (name: string): name is CommandName => Object.hasOwn(commands, name);
