import type { Kitchen } from './kitchen.ts';

const gcd = (a: number, b: number): number => (b === 0 ? a : gcd(b, a % b));

/**
 * The greatest step of minutes of which every time of the steps is a multiple. In a day in which no step can be moved forward by itself, every start is the end of
 * something, so some shortest day has only multiples of it.
 */
export const strideOf = ({ works }: Kitchen): number =>
  works.reduce(
    (stride, { duration, ways }) =>
      ways.reduce(
        (own, { uses }) => uses.reduce((each, { minutes }) => gcd(each, minutes), own),
        gcd(stride, duration),
      ),
    0,
  ) || 1;
