/** A cooperative made up for this test: who eats, what they must not eat, and what is cooked. */
export const HOUSEHOLDS = [
  { name: 'Alder', adults: 2, children: 3, hard: [] },
  { name: 'Birch', adults: 2, children: 1, hard: ['milk'] },
  { name: 'Cedar', adults: 1, children: 2, hard: ['no_meat'] },
  { name: 'Dogwood', adults: 2, children: 4, hard: [] },
  { name: 'Elder', adults: 2, children: 0, hard: ['egg'] },
  { name: 'Fir', adults: 1, children: 1, hard: [] },
  { name: 'Gorse', adults: 2, children: 2, hard: [] },
  { name: 'Hazel', adults: 3, children: 0, hard: ['milk'] },
  { name: 'Ivy', adults: 2, children: 5, hard: [] },
  { name: 'Juniper', adults: 1, children: 0, hard: [] },
  { name: 'Kale', adults: 2, children: 2, hard: [] },
  { name: 'Linden', adults: 2, children: 3, hard: [] },
] as const;

/** Joins while a round is being cooked. */
export const JOINER = { name: 'Myrtle', adults: 2, children: 2 };
export const JOINS_IN = 9;
export const LEAVER = 'Fir';
export const LEAVES_AFTER = 17;
export const BREAKS_IN = [6, 20];

/** One ingredient each, so that what a batch costs can be seen at a glance. */
export const DISHES = [
  { name: 'Bean stew', unfitFor: [], sizes: [6, 4, 2], batch: [4, 4, 4], ingredient: { name: 'Beans' } },
  {
    name: 'Cheese bake',
    unfitFor: ['milk'],
    sizes: [4, 2],
    batch: [6, 4],
    ingredient: { name: 'Cheese', allergens: ['milk'] },
  },
  {
    name: 'Mince pot',
    unfitFor: ['no_meat'],
    sizes: [4, 3],
    batch: [5, 4],
    ingredient: { name: 'Mince', tags: ['beef'] },
  },
  {
    name: 'Egg pasta',
    unfitFor: ['egg'],
    sizes: [3, 2],
    batch: [8, 4],
    ingredient: { name: 'Pasta', allergens: ['egg'] },
  },
];

const DAY = 86_400_000;
const START = Date.parse('2026-01-06T09:00:00Z');
/** Rounds follow one another every fourteen days; a day of a round as a date, and as the present. */
export const presentAt = (round: number, day: number): Date => new Date(START + ((round - 1) * 14 + day) * DAY);
export const dateAt = (round: number, day: number): string => presentAt(round, day).toISOString().slice(0, 10);

/** Numbers between 0 and 1 that are the same in every run (a multiply-with-carry generator, constants of Marsaglia, DIEHARD 1995). */
export function drawing(seed: number): () => number {
  let [z, w] = [362_436_069 ^ seed, 521_288_629];
  return () => {
    z = (36_969 * (z & 65_535) + (z >>> 16)) >>> 0;
    w = (18_000 * (w & 65_535) + (w >>> 16)) >>> 0;
    return ((((z & 65_535) << 16) + w) >>> 0) / 2 ** 32;
  };
}
