import { ModelBuilder } from '../solver/model-builder.ts';
import type { IntegerModel } from '../solver/model.ts';
import { headsAndTails } from './energy-bound.ts';
import type { Kitchen } from './kitchen.ts';
import type { Placed } from './partial-day.ts';
import { strideOf } from './stride.ts';

/** The days of at most some length as an integer program without an aim. */
export interface DayModel {
  model: IntegerModel;
  /** the day of a solution */
  dayOf: (values: ReadonlyMap<string, number>) => Placed[];
}

/** A sum of variables and a constant. */
interface Sum {
  terms: [string, number][];
  constant: number;
}

/**
 * Time-indexed, in strides: a variable says whether a step has begun, in one of its ways, by a point in time between its earliest and its latest start (Pritsker, Watters
 * and Wolfe, Management Science 16, 1969, in the form with steps that add up; from memory). Rows: begun stays begun; one way; a step has not begun before the end of those it
 * waits for; in every stride what is held of each resource is there. `none` where some step has no start, so that no day is as short as that; `large` where it
 * would have more variables than `mostVariables`, and is not written.
 */
export function dayModel(kitchen: Kitchen, minutes: number, mostVariables = Infinity): DayModel | 'none' | 'large' {
  const { works, counts } = kitchen;
  const stride = strideOf(kitchen);
  const { heads, tails } = headsAndTails(kitchen);
  const length = Math.floor(minutes / stride);
  const first = works.map((_work, i) => Math.ceil((heads[i] ?? 0) / stride));
  const last = works.map((_work, i) => length - Math.ceil((tails[i] ?? 0) / stride));
  if (works.some((_work, i) => (last[i] ?? 0) < (first[i] ?? 0))) return 'none';
  const builder = new ModelBuilder();
  const nameOf = (i: number, way: number, at: number): string => `${i}.${way}@${at}`;
  const spans = works.map((_work, i) => [first[i] ?? 0, last[i] ?? 0] as const);
  // Where a step can be done in one way only, it has begun by its latest start.
  const pointsOf = (i: number): number => {
    const [from, until] = spans[i] ?? [0, 0];
    return until - from + (works[i]?.ways.length === 1 ? 0 : 1);
  };
  if (works.reduce((n, { ways }, i) => n + ways.length * pointsOf(i), 0) > mostVariables) return 'large';

  /** Whether a step has begun by a point in time, in this way. */
  const begun = (i: number, way: number, at: number): Sum => {
    const [from, until] = spans[i] ?? [0, 0];
    if (at < from) return { terms: [], constant: 0 };
    if (at >= until && works[i]?.ways.length === 1) return { terms: [], constant: 1 };
    return { terms: [[nameOf(i, way, Math.min(at, until)), 1]], constant: 0 };
  };
  const begunAtAll = (i: number, at: number): Sum => {
    const [, until] = spans[i] ?? [0, 0];
    if (at >= until) return { terms: [], constant: 1 };
    const parts = (works[i]?.ways ?? []).map((_way, way) => begun(i, way, at));
    return {
      terms: parts.flatMap(({ terms }) => terms),
      constant: parts.reduce((sum, part) => sum + part.constant, 0),
    };
  };

  works.forEach(({ ways }, i) => {
    const [from, until] = spans[i] ?? [0, 0];
    ways.forEach((_way, way) => {
      for (let at = from; at < from + pointsOf(i); at++) {
        builder.decision(nameOf(i, way, at));
        if (at > from) {
          builder.atMost(
            `stays ${nameOf(i, way, at)}`,
            [
              [nameOf(i, way, at - 1), 1],
              [nameOf(i, way, at), -1],
            ],
            0,
          );
        }
      }
    });
    if (ways.length > 1)
      builder.equals(
        `way ${i}`,
        ways.map((_way, way) => [nameOf(i, way, until), 1] as const),
        1,
      );
  });
  works.forEach(({ after }, i) => {
    const [from, until] = spans[i] ?? [0, 0];
    for (const earlier of after) {
      const duration = Math.floor((works[earlier]?.duration ?? 0) / stride);
      for (let at = from; at <= until; at++) {
        const [own, before] = [begunAtAll(i, at), begunAtAll(earlier, at - duration)];
        if (before.constant >= 1) continue;
        const terms = [...own.terms, ...before.terms.map(([name, value]) => [name, -value] as const)];
        builder.atMost(`order ${earlier} ${i}@${at}`, terms, before.constant - own.constant);
      }
    }
  });
  counts.forEach((count, resource) => {
    for (let at = 0; at < length; at++) {
      const terms: [string, number][] = [];
      let [held, most] = [0, 0];
      works.forEach(({ ways }, i) => {
        let own = 0;
        ways.forEach(({ uses }, way) => {
          const use = uses.find((each) => each.resource === resource);
          if (!use) return;
          const [now, ended] = [begun(i, way, at), begun(i, way, at - Math.floor(use.minutes / stride))];
          terms.push(...now.terms.map(([name]): [string, number] => [name, use.count]));
          terms.push(...ended.terms.map(([name]): [string, number] => [name, -use.count]));
          held += use.count * (now.constant - ended.constant);
          if (now.constant + now.terms.length > 0 && ended.constant < 1) own = Math.max(own, use.count);
        });
        most += own;
      });
      if (most > count) builder.atMost(`there ${resource}@${at}`, terms, count - held);
    }
  });
  return {
    model: builder.build(),
    dayOf: (values) =>
      works.flatMap(({ ways }, work) => {
        const [from, until] = spans[work] ?? [0, 0];
        for (let at = from; at <= until; at++) {
          for (let way = 0; way < ways.length; way++) {
            const { terms, constant } = begun(work, way, at);
            const value = terms.reduce((sum, [name]) => sum + (values.get(name) ?? 0), constant);
            if (value >= 1) return [{ work, way, start: at * stride }];
          }
        }
        return [];
      }),
  };
}
