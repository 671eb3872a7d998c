import type { Holding } from './holding.ts';

/** The lots of one dish whose containers are of one size: for the targets and the wishes they are alike. */
export interface SizeClass {
  size: number;
  lots: number[];
}

/** For each dish its lots by size, in the order of the lots. */
export function classesOf({ problem, size }: Holding): SizeClass[][] {
  const classes = problem.dishes.map((): SizeClass[] => []);
  problem.lots.forEach((_, l) => {
    const ofDish = classes[problem.dishOf[l] ?? 0] ?? [];
    const same = ofDish.find((other) => other.size === size[l]);
    if (same) same.lots.push(l);
    else ofDish.push({ size: size[l] ?? 0, lots: [l] });
  });
  return classes;
}

/** Every choice of one whole number from each of the ranges, as long as it is not more than so many; undefined when there are more. */
export function choices(
  ranges: readonly (readonly [least: number, most: number])[],
  atMost: number,
): number[][] | undefined {
  let found: number[][] = [[]];
  for (const [least, most] of ranges) {
    if (found.length * (most - least + 1) > atMost) return undefined;
    const next: number[][] = [];
    for (const begun of found) for (let n = least; n <= most; n++) next.push([...begun, n]);
    found = next;
  }
  return found;
}
