import type { IntegerModel } from '../solver/model.ts';
import { ModelBuilder } from '../solver/model-builder.ts';
import type { Item, LimitKind, Limits } from './limits.ts';
import type { Targets } from './loads.ts';
import { priceOf } from './repair.ts';
import type { RotaProblem } from './rota-problem.ts';

type Term = readonly [string, number];

/** Names are made of ids, so that the model, and with it the draw, does not depend on the order of the input. */
const nameOf = (...parts: (string | number)[]): string => JSON.stringify(parts);

export const turnName = ({ households, weeks }: RotaProblem, pair: number): string =>
  nameOf('turn', weeks[pair % weeks.length]?.id ?? '', households[Math.floor(pair / weeks.length)]?.id ?? '');

/** What may be given up in a model, for a price: the variable of each limit, by kind and place; without it everything must be kept. */
class Slack {
  readonly builder: ModelBuilder;
  readonly items: { name: string; kind: LimitKind; at: number; week: number }[] = [];
  private readonly on: boolean;

  constructor(builder: ModelBuilder, on: boolean) {
    this.builder = builder;
    this.on = on;
  }

  /** The term that takes the place of what is missing. */
  term(kind: LimitKind, at: number, week: number, most: number, size = 1): Term[] {
    if (!this.on) return [];
    const name = this.builder.whole(nameOf('give up', kind, at), 0, most);
    this.items.push({ name, kind, at, week });
    return [[name, size]];
  }
}

function addWeeks(problem: RotaProblem, limits: Limits, slack: Slack): void {
  const { weeks, households, demandsIn, cooksOf } = problem;
  const { builder } = slack;
  weeks.forEach((week, w) => {
    const turn = (h: number): string => turnName(problem, h * weeks.length + w);
    const all = households.map((_, h): Term => [turn(h), 1]);
    const [least, most] = [limits.least[w] ?? 0, limits.most[w] ?? 0];
    builder.atLeast(nameOf('least', week.id), [...all, ...slack.term('least', w, w, least)], least);
    const spare = Math.max(0, households.length - most);
    builder.atMost(nameOf('most', week.id), [...all, ...slack.term('most', w, w, spare, -1)], most);
    for (const demand of demandsIn[w] ?? []) {
      if (!limits.skill[demand]) continue;
      const cooks = (cooksOf[demand] ?? []).map((h): Term => [turn(h), 1]);
      const name = nameOf('skill', week.id, problem.demands[demand]?.dish ?? '');
      builder.atLeast(name, [...cooks, ...slack.term('skill', demand, w, 1)], 1);
    }
    if (!limits.pots[w]) return;
    // A pot beyond what is needed counts as what is needed, which keeps numbers small.
    const pots = households.map(({ potMl }, h): Term => [turn(h), Math.min(potMl, week.potMl)]);
    builder.atLeast(nameOf('pots', week.id), [...pots, ...slack.term('pots', w, w, 1, week.potMl)], week.potMl);
  });
}

function addHouseholds(problem: RotaProblem, limits: Limits, slack: Slack): void {
  const { weeks, households } = problem;
  const { builder } = slack;
  households.forEach(({ id, minGap }, h) => {
    const first = h * weeks.length;
    const turn = (w: number): Term => [turnName(problem, first + w), 1];
    weeks.forEach((week, w) => {
      const at = first + w;
      if (limits.away[at])
        builder.atMost(nameOf('away', week.id, id), [turn(w), ...slack.term('away', at, w, 1, -1)], 0);
      if (limits.kept[at]) builder.atLeast(nameOf('kept', week.id, id), [turn(w), ...slack.term('kept', at, w, 1)], 1);
      if (!limits.gap[at] || w === 0) return;
      const from = Math.max(0, w - minGap);
      const extra = slack.term('gap', at, w, 1, -1);
      const before = Array.from({ length: w - from }, (_, i) => from + i);
      const clique = before.every((other) => other === from || limits.gap[first + other]);
      if (clique && extra.length === 0) builder.atMost(nameOf('gap', week.id, id), [...before, w].map(turn), 1);
      else {
        for (const other of before) {
          builder.atMost(nameOf('gap', week.id, id, weeks[other]?.id ?? ''), [turn(other), turn(w), ...extra], 1);
        }
      }
    });
  });
}

function begun(problem: RotaProblem, limits: Limits, mayGiveUp: boolean): Slack {
  const slack = new Slack(new ModelBuilder(), mayGiveUp);
  problem.away.forEach((_, pair) => slack.builder.decision(turnName(problem, pair)));
  addWeeks(problem, limits, slack);
  addHouseholds(problem, limits, slack);
  return slack;
}

/** The cheapest repair as an integer program, and how to read it: the items that a solution gives up. */
export function repairModel(
  problem: RotaProblem,
  limits: Limits,
): { model: IntegerModel; givenUp: (values: ReadonlyMap<string, number>) => Item[] } {
  const { builder, items } = begun(problem, limits, true);
  builder.seek(
    'price',
    'least',
    items.map(({ name, kind }): Term => [name, priceOf[kind]]),
  );
  const givenUp = (values: ReadonlyMap<string, number>): Item[] =>
    items.flatMap(({ name, kind, at, week }) =>
      Array.from({ length: values.get(name) ?? 0 }, (_, i): Item => {
        const cooks = kind === 'least' ? (limits.least[at] ?? 0) - i : kind === 'most' ? (limits.most[at] ?? 0) + i : 0;
        return { kind, at, cooks, week };
      }),
    );
  return { model: builder.build(), givenUp };
}

/**
 * The nearest loads as an integer program. A household's load is a sum of single turns, each dearer than the one before by the same step, so the price of a
 * load is its squared deviation less a constant; everything is divided by the factor of the targets. Undefined when the numbers are too large for a solver.
 */
export function loadsModel(
  problem: RotaProblem,
  limits: Limits,
  { parts, factor }: Targets,
  most: readonly number[],
  limit: number,
): IntegerModel | undefined {
  const { builder } = begun(problem, limits, false);
  const { weeks, households } = problem;
  const price: [string, bigint][] = [];
  households.forEach(({ id }, h) => {
    const turns = weeks.map((_, w): Term => [turnName(problem, h * weeks.length + w), -1]);
    const steps = Array.from({ length: most[h] ?? 0 }, (_, k): Term => {
      const name = builder.wholeByStructure(nameOf('step', id, k + 1), 0, 1);
      price.push([name, factor * BigInt(2 * k + 1) - 2n * (parts[h] ?? 0n)]);
      return [name, 1];
    });
    builder.equals(nameOf('load', id), [...turns, ...steps], 0);
  });
  if (price.some(([, value]) => value >= BigInt(limit) || -value >= BigInt(limit))) return undefined;
  builder.seek(
    'loads',
    'least',
    price.map(([name, value]): Term => [name, Number(value)]),
  );
  return builder.build({ seed: JSON.stringify(weeks.map(({ id }) => id)) });
}
