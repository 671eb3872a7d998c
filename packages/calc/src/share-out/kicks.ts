import { drawer } from './drawer.ts';
import { levelAlongChains } from './exchange-paths.ts';
import type { Holding } from './holding.ts';
import { levelDeviations } from './level.ts';
import { roomToDiffer } from './room-to-differ.ts';

/** Kicks at most, and containers x households looked at in all of them at most: enough for small rounds, where exchanges get stuck most easily. */
const mostKicks = 40;
const mostWork = 40_000;

const squares = (holding: Holding): bigint => holding.deviation.reduce((total, off) => total + off * off, 0n);

/** Moves a few containers at random to others who may eat them. */
function kick(holding: Holding, draw: (below: number) => number): void {
  const { households, lots } = holding.problem;
  for (let moves = 0, tries = 0; moves < 3 && tries < 60; tries++) {
    const [from, to, l] = [draw(households.length), draw(households.length), draw(lots.length)];
    if (from === to || holding.movable(from, l) === 0 || !holding.eats(to, l) || !holding.hasRoom(to, [l])) continue;
    holding.move([l], from, to);
    moves++;
  }
}

function restore(holding: Holding, counts: readonly (readonly number[])[]): void {
  counts.forEach((row, h) =>
    row.forEach((count, l) => {
      for (let n = holding.counts[h]?.[l] ?? 0; n > count; n--) holding.move([l], h, undefined);
    }),
  );
  counts.forEach((row, h) =>
    row.forEach((count, l) => {
      for (let n = holding.counts[h]?.[l] ?? 0; n < count; n++) holding.move([l], undefined, h);
    }),
  );
}

/**
 * Comes nearer to the targets from where exchanges are stuck: kicks the division at random (from the seed) and levels again, keeping what is better and within
 * the bound that held before (iterated local search; Lourenco, Martin and Stutzle 2003). Ends as soon as the division is shown to be nearest.
 */
export function levelByKicks(holding: Holding): void {
  const draw = drawer(`kicks ${holding.problem.seed}`);
  const size = holding.problem.households.length * holding.problem.lots.length;
  const bound = holding.deviation.reduce((most, off) => (off > most ? off : -off > most ? -off : most), 0n);
  let best = squares(holding);
  for (let kicks = 0; kicks < mostKicks && kicks * size < mostWork; kicks++) {
    const before = holding.counts.map((row) => [...row]);
    kick(holding, draw);
    levelDeviations(holding);
    levelAlongChains(holding);
    const after = squares(holding);
    const isWithin = holding.deviation.every((off) => off <= bound && -off <= bound);
    if (after > best || !isWithin) restore(holding, before);
    else if (after < best) {
      best = after;
      if (roomToDiffer(holding)) return;
    }
  }
}
