import { invalidInput } from '../input.ts';

/** Equal containers of one batch, as typed. */
export interface ContainerGroup {
  portions: number;
  count: number;
  millilitres: number | null;
}

export interface NewContainer {
  number: number;
  portions: number;
  millilitres: number | null;
}

/**
 * The containers to write for what came out of a batch, with the numbers that are free. What was typed is everything that came out; of it, containers that have ended
 * already (eaten, lost) stay as they are, and only the others are written anew.
 * `typed`: groups of equal containers; `ended`: number and portions of each that has ended. Gives the containers and the portions of the whole batch.
 * Throws `invalid-input` when an ended container is not among those typed.
 */
export function sealedContainers(
  typed: readonly ContainerGroup[],
  ended: readonly { number: number; portions: number }[],
): { containers: NewContainer[]; portions: number } {
  const all = typed.flatMap(({ portions, count, millilitres }) =>
    Array.from({ length: count }, () => ({ portions, millilitres })),
  );
  const portions = all.reduce((total, container) => total + container.portions, 0);
  for (const { portions: size } of ended) {
    const at = all.findIndex((container) => container.portions === size);
    if (at < 0) {
      const detail = `A container of ${size} portions of this batch has been opened or lost already, so it must be among these.`;
      throw invalidInput([{ pointer: '#/containers', detail }]);
    }
    all.splice(at, 1);
  }
  const taken = new Set(ended.map(({ number }) => number));
  let last = 0;
  const nextFree = (): number => {
    do last += 1;
    while (taken.has(last));
    return last;
  };
  return { containers: all.map((container) => ({ number: nextFree(), ...container })), portions };
}
