import { sha256 } from '../allocation/sha256.ts';

/** Whole numbers from 0 on below a bound, drawn from a text, the same every time (a linear congruence modulo 2^32; Knuth, TAOCP 2, 3.3.4). */
export function drawer(seed: string): (below: number) => number {
  let state = Number(BigInt(`0x${sha256(seed).slice(0, 8)}`));
  return (below) => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return (state >>> 8) % below;
  };
}
