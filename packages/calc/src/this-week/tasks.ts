import { addDays, formatDate, parseDate } from '../dates/civil-date.ts';
import type { RoundDates } from '../rounds/dates.ts';
import type { RoundStage } from '../rounds/stages.ts';

/** A round as far as tasks follow from it. */
export interface OpenRound extends RoundDates {
  id: string;
  number: number;
  stage: RoundStage;
  batchesOpen: number;
  shareOutConfirmed: boolean;
  /** containers of the household whose claim is in that state */
  held: { containers: number; portions: number };
  claimed: { containers: number; portions: number };
  /** cook days on which the household has a turn */
  cookDays: readonly { date: string; startsAt: string; kitchen: string }[];
}

/** Everything that one household's tasks follow from. */
export interface WeekFacts {
  today: string;
  coordinator: boolean;
  buyer: boolean;
  rounds: readonly OpenRound[];
  swaps: readonly { id: string; from: string; openUntil: string }[];
  /** swaps of turns that wait for the household's answer, each with the weeks of both turns */
  turnSwaps: readonly { id: string; from: string; openUntil: string; gives: string; gets: string }[];
  /** rings that wait for the household's answer, with the names of the households in them */
  rings: readonly { id: string; households: string; openUntil: string }[];
  /** dishes that the household waited for and that are kept for it now */
  kept: readonly { roundId: string; dish: string; until: string }[];
  payments: readonly { to: string; amountMinor: string }[];
  /** sealed containers that the household holds */
  stock: readonly { code: string; dish: string; bestBefore: string }[];
}

export const taskKinds = [
  'plan',
  'buy',
  'cook',
  'confirm-share-out',
  'claim',
  'collect',
  'answer-swap',
  'answer-turn-swap',
  'answer-ring',
  'claim-kept',
  'pay',
  'use-first',
  'settle',
] as const;
export type TaskKind = (typeof taskKinds)[number];

export interface Task {
  kind: TaskKind;
  due: string | null;
  late: boolean;
  path: string;
  facts: Record<string, string | number>;
}

/** A container is named as the one to use first from so many days before its best-before date on. Our decision. */
const useFirstDays = 14;

/**
 * What a household must do next: earliest due first, what has no date last; the same day in the order of `taskKinds`.
 * A task is late once its date has passed. `today` and all dates: ISO 8601 local dates of the cooperative. `path` is the address of the screen.
 */
export function tasksOf(week: WeekFacts): Task[] {
  const drafts = [
    ...week.rounds.flatMap((round) => [...coordinating(week, round), ...cooking(week, round), ...sharing(round)]),
    ...week.swaps.map((swap) => draft('answer-swap', swap.openUntil, `/swaps?swap=${swap.id}`, { from: swap.from })),
    ...week.turnSwaps.map(({ id, openUntil, ...facts }) =>
      draft('answer-turn-swap', openUntil, `/turns?swap=${id}`, facts),
    ),
    ...week.rings.map(({ id, households, openUntil }) =>
      draft('answer-ring', openUntil, `/swaps?ring=${id}`, { households }),
    ),
    ...week.kept.map(({ roundId, dish, until }) =>
      draft('claim-kept', until, `/rounds/${roundId}/share-out`, { dish }),
    ),
    ...paying(week),
    ...usingFirst(week),
  ];
  return drafts
    .map((task) => ({ ...task, late: task.due !== null && task.due < week.today }))
    .sort((a, b) => compareDue(a.due, b.due) || taskKinds.indexOf(a.kind) - taskKinds.indexOf(b.kind));
}

type Draft = Omit<Task, 'late'>;
const draft = (kind: TaskKind, due: string | null, path: string, facts: Task['facts']): Draft => ({
  kind,
  due,
  path,
  facts,
});

function compareDue(a: string | null, b: string | null): number {
  if (a === b) return 0;
  if (a === null) return 1;
  if (b === null) return -1;
  return a < b ? -1 : 1;
}

function coordinating({ coordinator, buyer }: WeekFacts, round: OpenRound): Draft[] {
  const facts = { round: round.number };
  const at = `/rounds/${round.id}`;
  if (round.stage === 'buying') return buyer || coordinator ? [draft('buy', round.buyOn, `${at}/buy`, facts)] : [];
  if (!coordinator) return [];
  if (round.stage === 'planning') return [draft('plan', round.planUntil, `${at}/plan`, facts)];
  if (round.stage !== 'sharing') return [];
  return round.shareOutConfirmed
    ? [draft('settle', round.settleOn, `${at}/account`, facts)]
    : [draft('confirm-share-out', round.shareOn, `${at}/share-out`, { ...facts, batchesOpen: round.batchesOpen })];
}

/** Cooking is to be done until every batch has its yield; before that stage, once its day is near enough to prepare for. */
function cooking({ today }: WeekFacts, round: OpenRound): Draft[] {
  if (round.stage === 'settled' || (round.stage === 'sharing' && round.batchesOpen === 0)) return [];
  if (round.stage === 'cooking' && round.batchesOpen === 0) return [];
  return round.cookDays
    .filter(({ date }) => round.stage === 'cooking' || round.stage === 'sharing' || date >= today)
    .map(({ date, startsAt, kitchen }) =>
      draft('cook', date, `/rounds/${round.id}/cook`, { round: round.number, startsAt, kitchen }),
    );
}

function sharing(round: OpenRound): Draft[] {
  if (round.stage !== 'sharing') return [];
  const path = `/rounds/${round.id}/share-out`;
  const facts = (what: OpenRound['held']) => ({ round: round.number, ...what });
  return [
    ...(round.held.containers > 0 ? [draft('claim', round.swapUntil, path, facts(round.held))] : []),
    ...(round.claimed.containers > 0 ? [draft('collect', round.swapUntil, path, facts(round.claimed))] : []),
  ];
}

/** Balances still move until everything is bought and cooked; what is due is due when the last such round is settled. */
function paying({ payments, rounds }: WeekFacts): Draft[] {
  const shared = rounds.filter(({ stage }) => stage === 'sharing').map(({ settleOn }) => settleOn);
  const due = shared.sort().at(-1) ?? null;
  return payments.map(({ to, amountMinor }) => draft('pay', due, '/accounts', { to, amountMinor }));
}

function usingFirst({ stock, today }: WeekFacts): Draft[] {
  const until = formatDate(addDays(parseDate(today), useFirstDays));
  const near = stock.filter(({ bestBefore }) => bestBefore <= until);
  const byDish = new Map<string, { code: string; dish: string; bestBefore: string; containers: number }>();
  for (const container of near) {
    const key = `${container.bestBefore} ${container.dish}`;
    const before = byDish.get(key);
    byDish.set(key, before ? { ...before, containers: before.containers + 1 } : { ...container, containers: 1 });
  }
  return [...byDish.values()].map(({ code, dish, bestBefore, containers }) =>
    draft('use-first', bestBefore, `/freezer?code=${encodeURIComponent(code)}`, { dish, containers, code }),
  );
}
