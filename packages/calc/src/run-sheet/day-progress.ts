/** A step as planned, in minutes from the start of the day, with what it takes by name (`person 1`, `oven 2`, ...) and what it waits for. */
export interface PlanStep {
  key: string;
  active: number;
  passive: number;
  start: number;
  end: number;
  /** held for the active minutes */
  people: readonly string[];
  /** held for the passive ones too */
  things: readonly string[];
  after: readonly string[];
}

export interface StepNow {
  key: string;
  /** `on-its-own`: hands are off, it goes on by itself */
  state: 'waiting' | 'under-way' | 'on-its-own' | 'done';
  start: number;
  handsOff: number;
  end: number;
}

export interface DayNow {
  steps: StepNow[];
  /** when the day ends as things stand */
  end: number;
  /** minutes later than planned; negative: earlier */
  late: number;
}

const latest = (times: readonly number[]): number => Math.max(0, ...times);

/**
 * How a planned day stands: what is done keeps its own times, everything after it moves. Steps keep their order, people and things as planned; each starts once what it
 * waits for has ended and its people and things are free, and what is not done by now goes on at least until now. A step without active minutes needs nobody and ends by
 * itself. `done`: key to the minute in which hands were off. It is a forecast, not a proof: the shortest way on from here may be another order.
 */
export function dayNow(plan: readonly PlanStep[], done: ReadonlyMap<string, number>, now: number): DayNow {
  const free = new Map<string, number>();
  const ends = new Map<string, number>();
  const order = [...plan].sort((a, b) => a.start - b.start || (a.key < b.key ? -1 : 1));
  const steps = order.map((step): StepNow => {
    const people = latest(step.people.map((name) => free.get(name) ?? 0));
    const things = latest(step.things.map((name) => free.get(name) ?? 0));
    const ready = latest(step.after.map((key) => ends.get(key) ?? 0));
    const doneAt = step.active === 0 ? undefined : done.get(step.key);
    const earliest = Math.max(people, things, ready);
    const start = doneAt === undefined ? earliest : Math.min(Math.max(people, doneAt - step.active), doneAt);
    const handsOff = doneAt ?? (step.active === 0 ? start : Math.max(start + step.active, now));
    const end = handsOff + step.passive;
    for (const name of step.people) free.set(name, handsOff);
    for (const name of step.things) free.set(name, end);
    ends.set(step.key, end);
    const areHandsOff = doneAt !== undefined || (step.active === 0 && start <= now);
    const state = areHandsOff ? (end > now ? 'on-its-own' : 'done') : start <= now ? 'under-way' : 'waiting';
    return { key: step.key, state, start, handsOff, end };
  });
  const end = latest(steps.map((step) => step.end));
  return { steps, end, late: end - latest(plan.map((step) => step.end)) };
}
