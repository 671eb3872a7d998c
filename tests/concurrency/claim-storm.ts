import { randomUUID } from 'node:crypto';
import { drawer } from '../builders/share-out-instance.ts';

export interface Attempt {
  household: string;
  container: string;
  key: string;
}
export interface Outcome {
  status: number;
  code?: string;
  text: string;
}

/** What somebody can do to a pool of containers, however it is kept. */
export interface Storage {
  claim(client: number, attempt: Attempt): Promise<Outcome>;
  release(client: number, attempt: Attempt): Promise<Outcome>;
}

export interface Storm {
  claims: Attempt[];
  releases: Attempt[];
  /** refusals by code */
  refusals: Map<string, number>;
  milliseconds: number[];
  /** requests sent twice at once with one key whose two answers were both yes and not the same */
  differingAnswers: number;
}

/** Clients that claim containers at random, each in an order of its own, and give nearly all of them back; one request in ten is sent twice with the same key. */
export async function storm(
  storage: Storage,
  plan: { clients: number; attempts: number; households: readonly string[]; containers: readonly string[] },
): Promise<Storm> {
  const seen: Storm = { claims: [], releases: [], refusals: new Map(), milliseconds: [], differingAnswers: 0 };
  const each = Math.ceil(plan.attempts / plan.clients);
  const timed = async (work: () => Promise<Outcome>): Promise<Outcome> => {
    const began = performance.now();
    const outcome = await work();
    seen.milliseconds.push(performance.now() - began);
    return outcome;
  };
  const client = async (index: number): Promise<void> => {
    const draw = drawer(index + 1);
    const household = plan.households[index % plan.households.length] ?? '';
    for (let done = 0; done < each;) {
      const container = plan.containers[draw(plan.containers.length)] ?? '';
      const attempt = { household, container, key: randomUUID() };
      const times = draw(10) === 0 ? 2 : 1;
      // The second copy goes to the other process.
      const outcomes = await Promise.all(
        Array.from({ length: times }, (_, copy) => timed(() => storage.claim(index + copy, attempt))),
      );
      done += times;
      const yes = outcomes.filter(({ status }) => status === 200);
      for (const { code } of outcomes.filter(({ status }) => status !== 200))
        seen.refusals.set(code ?? '', (seen.refusals.get(code ?? '') ?? 0) + 1);
      if (yes.length === 0) continue;
      if (new Set(yes.map(({ text }) => text)).size > 1) seen.differingAnswers += 1;
      seen.claims.push(attempt);
      if (draw(40) === 0) continue;
      const back = { household, container, key: randomUUID() };
      if ((await storage.release(index, back)).status === 200) seen.releases.push(back);
    }
  };
  await Promise.all(Array.from({ length: plan.clients }, (_, index) => client(index)));
  return seen;
}

/** What is kept after a storm. */
export interface Kept {
  /** one for each claim that was ever written */
  claims: { household: string; container: string; live: boolean }[];
  /** who holds each container that is not free */
  holders: Map<string, string>;
  /** the least balance that any household ever had, in portions */
  leastBalance: number;
}

const nameOf = ({ household, container }: { household: string; container: string }): string =>
  `${household} ${container}`;
const sorted = (them: readonly { household: string; container: string }[]): string =>
  JSON.stringify(them.map(nameOf).sort());

/** What went wrong, in words; empty for a storage that keeps its promises. */
export function violationsOf(seen: Storm, kept: Kept, allowance: number): string[] {
  const live = kept.claims.filter((claim) => claim.live);
  const wrong: string[] = [];
  if (new Set(live.map(({ container }) => container)).size < live.length) wrong.push('oversold');
  if (live.some(({ container, household }) => kept.holders.get(container) !== household)) wrong.push('holder differs');
  if (sorted(seen.claims) !== sorted(kept.claims)) wrong.push('acknowledged claims are not the rows');
  if (seen.releases.length !== kept.claims.length - live.length) wrong.push('acknowledged releases are not the rows');
  if (kept.leastBalance < -allowance) wrong.push('allowance exceeded');
  if (seen.differingAnswers > 0) wrong.push('one key, two answers');
  return wrong;
}

/** The value that this part of the values does not exceed. */
export const quantile = (values: readonly number[], part: number): number =>
  [...values].sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(values.length * part))] ?? 0;
