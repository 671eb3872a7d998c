import { floor, mul, rational } from '../rational.ts';
import type { Holding } from './holding.ts';
import { mostTrials } from './level.ts';

/** What a household's containers of one dish are worth to it: refused ones, ones outside its fair share, and its wishes. */
type Regret = [refused: number, outside: number, wishes: number];

function regret(holding: Holding, h: number, dish: number, count: number): Regret {
  const household = holding.problem.households[h];
  const name = holding.problem.dishes[dish] ?? '';
  const [least, most] = holding.fair[h]?.[dish] ?? [0, 0];
  const refused = household?.refuses.has(name) ? count : 0;
  return [refused, Math.max(0, least - count, count - most), -count * (household?.scores.get(name) ?? 0)];
}

function change(holding: Holding, h: number, dish: number, by: 1 | -1): Regret {
  const count = holding.ofDish[h]?.[dish] ?? 0;
  const before = regret(holding, h, dish, count);
  const after = regret(holding, h, dish, count + by);
  return [after[0] - before[0], after[1] - before[1], after[2] - before[2]];
}

const isLess = (total: readonly number[]): boolean => {
  const first = total.find((part) => part !== 0);
  return first !== undefined && first < 0;
};

/** Whether a for b's container leaves the squares as they are, or keeps both within the window that variety may use. */
function isFairEnough(holding: Holding, a: number, b: number, i: number, j: number, window: bigint): boolean {
  const moved = (holding.worth[i] ?? 0n) - (holding.worth[j] ?? 0n);
  if (moved === 0n) return true;
  const [x, y] = [holding.deviation[a] ?? 0n, holding.deviation[b] ?? 0n];
  if (moved === x - y) return true;
  const within = (value: bigint): boolean => value <= window && -value <= window;
  return within(x - moved) && within(y + moved);
}

function isBetter(holding: Holding, a: number, b: number, i: number, j: number): boolean {
  const given = holding.problem.dishOf[i] ?? 0;
  const taken = holding.problem.dishOf[j] ?? 0;
  const parts = [
    change(holding, a, given, -1),
    change(holding, b, given, 1),
    change(holding, b, taken, -1),
    change(holding, a, taken, 1),
  ];
  return isLess([0, 1, 2].map((k) => parts.reduce((total, part) => total + (part[k] ?? 0), 0)));
}

/**
 * Exchanges of one container for one of another dish, as long as one is better in this order: fewer refused containers, fewer outside the
 * fair share of their dish (floor to ceiling of the dish in proportion to the targets of those who may eat it), more wishes met.
 * It leaves the sum of squared deviations as it is, unless the input's variety window allows otherwise: then both stay within the window, and
 * never as far as the largest container. It ends because the order is strict and there are finitely many divisions.
 */
export function improveVariety(holding: Holding): void {
  const { households, lots, varietyWindow, dishOf } = holding.problem;
  const largest = holding.worth.reduce((a, b) => (a > b ? a : b), 0n);
  const asked = floor(mul(varietyWindow, rational(holding.factor)));
  const window = asked < largest ? asked : largest - 1n;
  const tryExchange = (a: number, b: number, i: number, j: number): boolean => {
    if (dishOf[i] === dishOf[j] || holding.movable(b, j) === 0 || !holding.eats(a, j)) return false;
    if (!isFairEnough(holding, a, b, i, j, window) || !isBetter(holding, a, b, i, j)) return false;
    if (!holding.hasRoom(a, [j], [i]) || !holding.hasRoom(b, [i], [j])) return false;
    holding.move([i], a, b);
    holding.move([j], b, a);
    return true;
  };
  let trials = 0;
  for (let moved = true; moved && trials < mostTrials;) {
    moved = false;
    for (let a = 0; a < households.length; a++) {
      for (let b = a + 1; b < households.length && trials < mostTrials; b++) {
        trials += lots.length;
        for (let i = 0; i < lots.length; i++) {
          if (holding.movable(a, i) === 0 || !holding.eats(b, i)) continue;
          trials += lots.length;
          for (let j = 0; j < lots.length && holding.movable(a, i) > 0; j++) if (tryExchange(a, b, i, j)) moved = true;
        }
      }
    }
  }
}
