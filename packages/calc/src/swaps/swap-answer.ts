import { DomainError, type DomainErrorCode } from '../domain-error.ts';
import type { ContainerState } from '../stock/container-end.ts';

export type SwapState = 'proposed' | 'accepted' | 'declined' | 'withdrawn' | 'lapsed' | 'done' | 'answered';
export type SwapAnswer = 'accept' | 'decline' | 'withdraw';

/** A proposal with what its answer depends on; times in milliseconds since 1970 in UTC. */
export interface OpenSwap {
  state: SwapState;
  openUntil: number;
  from: string;
  to: string;
}

/** What becomes of a proposal that is answered when it may be; accepting one moves its containers and so is done at once. */
export const stateAfter: Readonly<Record<SwapAnswer, SwapState>> = {
  accept: 'done',
  decline: 'declined',
  withdraw: 'withdrawn',
};

/** Whose answer it is: the proposer may only withdraw, the other household accepts or declines. */
export const answererOf = ({ from, to }: OpenSwap, answer: SwapAnswer): string => (answer === 'withdraw' ? from : to);

/** The state of a proposal as it is now: one that nobody answered in time has lapsed, whether or not that was written down. */
export const stateNow = ({ state, openUntil }: OpenSwap, now: number): SwapState =>
  state === 'proposed' && openUntil <= now ? 'lapsed' : state;

/** A container in a swap, as it is by now. */
export interface SwapContainer {
  code: string;
  state: ContainerState;
  holderId: string | null;
}

/** Why the parts of a swap can no longer move, or null: every container must be sealed and with its giver. */
export function whyNotSwappable(parts: readonly { container: SwapContainer; giver: string }[]): SwapRefusal | null {
  const gone = parts.find(({ container, giver }) => container.state !== 'sealed' || container.holderId !== giver);
  if (!gone) return null;
  const { code, state } = gone.container;
  return {
    code: 'not-swappable',
    detail: `The container ${code} is no longer there to be swapped.`,
    params: { container: code, state },
  };
}

/** A refusal that is kept with its effect, so that it can be told after that was written. */
export interface SwapRefusal {
  code: DomainErrorCode;
  detail: string;
  params: Record<string, string>;
}

export const refusalError = ({ code, detail, params }: SwapRefusal): DomainError =>
  new DomainError(code, detail, { params });
