/** A made-up round for tests and measurements, the same for the same number. */
export interface ShareOutInstance {
  seed: string;
  households: {
    id: string;
    weight: string;
    owed: string;
    excludes: string[];
    refuses: string[];
    scores: Record<string, number>;
  }[];
  lots: { id: string; dish: string; containers: number; portions: number }[];
}

export interface InstanceKind {
  /** part of the households that may not eat some dishes, would rather not have some, like some more; in per cent */
  excluding?: number;
  refusing?: number;
  scoring?: number;
  /** sizes of containers, in portions */
  sizes?: readonly number[];
}

/** Numbers from 0 on below a bound, drawn by a generator of 32 bits (mulberry32, public domain). */
export function drawer(seed: number): (below: number) => number {
  let state = seed >>> 0;
  return (below) => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((((t ^ (t >>> 14)) >>> 0) * below) / 2 ** 32) >>> 0;
  };
}

const weights = ['1', '3/2', '2', '5/2', '3', '7/2', '4', '5', '3.8'];

/** A round of so many households and dishes: about a container of each dish for every household, in one or two sizes a dish. */
export function shareOutInstance(
  seed: number,
  households: number,
  dishes: number,
  kind: InstanceKind = {},
): ShareOutInstance {
  const { excluding = 25, refusing = 20, scoring = 0, sizes = [2, 3, 4, 6] } = kind;
  const draw = drawer(seed);
  const between = (least: number, most: number): number => least + draw(most - least + 1);
  const isSo = (perCent: number): boolean => draw(100) < perCent;
  const names = Array.from({ length: dishes }, (_, d) => `dish ${d + 1}`);
  let left = 0;
  const members = Array.from({ length: households }, (_, h) => {
    const excludes = isSo(excluding) ? names.filter(() => isSo(20)) : [];
    const refuses = isSo(refusing) ? names.filter((name) => isSo(15) && !excludes.includes(name)) : [];
    const liked = isSo(scoring) ? names.filter(() => isSo(30)) : [];
    const scores = Object.fromEntries(liked.map((name) => [name, between(-3, 3)]));
    // What earlier rounds left owed, in millionths as the books keep it; all of it together is nil.
    const owed = h === households - 1 ? -left : between(-2_000_000, 2_000_000);
    left += owed;
    const isLarge = Math.abs(owed) > 4_000_000;
    return {
      id: `household ${h + 1}`,
      weight: weights[draw(weights.length)] ?? '1',
      owed: isLarge ? '0' : `${owed}/1000000`,
      excludes,
      refuses,
      scores,
    };
  });
  const lots = names.flatMap((dish) => {
    const kinds = isSo(50) ? 2 : 1;
    const first = draw(sizes.length);
    return Array.from({ length: kinds }, (_, k) => ({
      id: `${dish}, batch ${k + 1}`,
      dish,
      containers: between(Math.max(2, Math.floor(households / 2 / kinds)), Math.ceil((2 * households) / kinds)),
      portions: sizes[(first + k) % sizes.length] ?? 2,
    }));
  });
  return { seed: `round ${seed}`, households: members, lots };
}
