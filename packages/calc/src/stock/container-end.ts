import { DomainError } from '../domain-error.ts';

/** What may become of a sealed container. */
export type ContainerState = 'sealed' | 'eaten' | 'thrown-away' | 'given-away' | 'lost' | 'recalled';

/** Refuses to end a container's life twice. Throws `container-not-free` with the param state. */
export function requireSealed(state: ContainerState): void {
  if (state === 'sealed') return;
  throw new DomainError('container-not-free', `This container is not sealed any more: it is ${state}.`, {
    params: { state },
  });
}

/**
 * Refuses to take back the end of a container unless it was a slip of the same day.
 * Our decision: within the local day on which it was said, and never after a recall, since nobody can vouch for a pack that was written off for longer.
 * `state`: as it is; `endedOn`, `today`: ISO 8601 local dates. Throws `conflict`.
 */
export function requireUndoable(state: ContainerState, endedOn: string | null, today: string): void {
  if (state === 'sealed') throw new DomainError('conflict', 'This container is sealed; there is nothing to take back.');
  if (state === 'recalled') throw new DomainError('conflict', 'A recalled container stays recalled.');
  if (endedOn !== today) throw new DomainError('conflict', 'Only what was said today can be taken back.');
}
