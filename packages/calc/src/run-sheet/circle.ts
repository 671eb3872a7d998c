import { byCodeUnits } from '../canonical.ts';

/** A circle of steps that wait for one another, the first name again at the end, or undefined. The one found does not depend on the order of the map. */
export function circleOf(after: ReadonlyMap<string, readonly string[]>): string[] | undefined {
  const done = new Set<string>();
  const path: string[] = [];
  const visit = (name: string): string[] | undefined => {
    if (done.has(name)) return undefined;
    const seen = path.indexOf(name);
    if (seen >= 0) return [...path.slice(seen), name];
    path.push(name);
    for (const earlier of [...(after.get(name) ?? [])].sort(byCodeUnits)) {
      const circle = visit(earlier);
      if (circle) return circle;
    }
    path.pop();
    done.add(name);
    return undefined;
  };
  for (const name of [...after.keys()].sort(byCodeUnits)) {
    const circle = visit(name);
    if (circle) return circle;
  }
  return undefined;
}

/** At most a dozen names of a circle, so that a message stays readable. */
export const named = (circle: readonly string[]): string =>
  (circle.length <= 12 ? circle : [...circle.slice(0, 11), '...', ...circle.slice(-1)]).join(' > ');
