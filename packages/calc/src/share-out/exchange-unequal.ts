import type { Wishes } from './exchange-cycles.ts';
import type { Holding } from './holding.ts';
import type { RoomToDiffer } from './room-to-differ.ts';

/**
 * Makes one exchange of a container for one of another size that meets wishes better and leaves both households within the room to differ, if there is
 * one. Gives the two households. This is what a variety window is for; the window is zero most often, and then hardly any such exchange exists.
 */
export function exchangeUnequal(
  holding: Holding,
  room: RoomToDiffer,
  wishes: Wishes,
): readonly [number, number] | undefined {
  const { households, lots, dishOf } = holding.problem;
  const now = holding.unitsNow();
  const isWithin = (h: number, by: number): boolean => {
    const [least, most] = room.units[h] ?? [0, 0];
    const then = (now[h] ?? 0) + by;
    return by === 0 || (then >= least && then <= most);
  };
  const differs = room.units.map(([least, most]) => least < most);
  for (let a = 0; a < households.length; a++) {
    for (let b = 0; b < households.length; b++) {
      if (a === b || !differs[a] || !differs[b]) continue;
      for (let i = 0; i < lots.length; i++) {
        if (holding.movable(a, i) === 0 || !room.mayTake[b]?.[i]) continue;
        for (let j = 0; j < lots.length; j++) {
          const units = (holding.size[i] ?? 0) - (holding.size[j] ?? 0);
          if (units <= 0 || dishOf[i] === dishOf[j] || holding.movable(b, j) === 0 || !room.mayTake[a]?.[j]) continue;
          if (!isWithin(a, -units) || !isWithin(b, units)) continue;
          const [given = 0, taken = 0] = [dishOf[i], dishOf[j]];
          const cost =
            wishes.change(a, given, -1) +
            wishes.change(b, given, 1) +
            wishes.change(b, taken, -1) +
            wishes.change(a, taken, 1);
          if (cost >= 0 || !holding.hasRoom(a, [j], [i]) || !holding.hasRoom(b, [i], [j])) continue;
          holding.move([i], a, b);
          holding.move([j], b, a);
          return [a, b];
        }
      }
    }
  }
  return undefined;
}
