import type { RunStepNow } from './day-now.ts';

/** Solid: hands on; dashed: on its own; dotted: cooling. */
export type BarForm = 'hands' | 'own' | 'cooling';

export interface Bar {
  key: string;
  step: RunStepNow;
  from: number;
  until: number;
  form: BarForm;
}

export type LaneKind = 'person' | 'pot' | 'hob' | 'oven' | 'rest' | 'cooling';

export interface Lane {
  kind: LaneKind;
  /** which one of its kind, from 1 */
  number: number;
  litres: string | null;
  bars: Bar[];
}

/** Bars side by side in as few lanes as do without overlap: the first that is free. */
function spread(bars: readonly Bar[]): Bar[][] {
  const lanes: Bar[][] = [];
  for (const bar of [...bars].sort((a, b) => a.from - b.from || a.until - b.until)) {
    const free = lanes.find((lane) => (lane.at(-1)?.until ?? 0) <= bar.from);
    if (free) free.push(bar);
    else lanes.push([bar]);
  }
  return lanes;
}

/** The day as lanes of bars: people, then pots (hobs where no pots are known), ovens, what rests, what cools. Times are those expected now. */
export function lanesOf(steps: readonly RunStepNow[], people: number): Lane[] {
  const bar = (step: RunStepNow, form: BarForm, from: number, until: number): Bar[] =>
    until > from ? [{ key: step.key, step, from, until, form }] : [];
  const hands = Array.from({ length: people }, (_, index): Lane => {
    const bars = steps.flatMap((step) =>
      step.people.includes(index + 1) ? bar(step, 'hands', step.now.start, step.now.handsOff) : [],
    );
    return { kind: 'person', number: index + 1, litres: null, bars };
  });
  const things = (kind: 'pot' | 'hob' | 'oven', numbersOf: (step: RunStepNow) => readonly number[]): Lane[] => {
    const numbers = [...new Set(steps.flatMap(numbersOf))].sort((a, b) => a - b);
    return numbers.map((number) => {
      const own = steps.filter((step) => numbersOf(step).includes(number));
      const bars = own.flatMap((step) => bar(step, 'own', step.now.start, step.now.end));
      return { kind, number, litres: kind === 'pot' ? (own[0]?.potLitres ?? null) : null, bars };
    });
  };
  const byItself = (kind: 'rest' | 'cooling', place: RunStepNow['place']): Lane[] =>
    spread(
      steps.flatMap((step) =>
        step.place === place && step.pot === null
          ? bar(step, kind === 'cooling' ? 'cooling' : 'own', step.now.handsOff, step.now.end)
          : [],
      ),
    ).map((bars, index) => ({ kind, number: index + 1, litres: null, bars }));
  const withoutPot = (step: RunStepNow): readonly number[] => (step.pot === null ? step.hobs : []);
  return [
    ...hands,
    ...things('pot', ({ pot }) => (pot === null ? [] : [Number(pot)])),
    ...things('hob', withoutPot),
    ...things('oven', ({ ovens }) => ovens),
    ...byItself('rest', 'table'),
    ...byItself('cooling', 'cooling'),
  ];
}

/** Full hours of the cooperative's day between two minutes, as the label of each is drawn; `first` is the minute of the first full hour. */
export function hoursBetween(from: number, until: number, first: number, every = 60): number[] {
  const start = first + Math.ceil((from - first) / every) * every;
  return Array.from(
    { length: Math.max(0, Math.floor((until - start) / every) + 1) },
    (_, index) => start + index * every,
  );
}
