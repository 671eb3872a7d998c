import { byCodeUnits } from '../canonical.ts';
import { DomainError } from '../domain-error.ts';

/** How many recipes may stand inside one another, the dish itself counted. Our decision. */
export const deepestNesting = 8;

/** At most a dozen names of a path, so that a message stays readable. */
const named = (path: readonly string[]): string =>
  path.length <= 12 ? path.join(' > ') : [...path.slice(0, 11), '...', path.at(-1)].join(' > ');

/** Walks from user to user among recipes that all have one left, until one comes again: a cycle, from its least id on. */
function findCycle(left: readonly string[], usersOf: ReadonlyMap<string, readonly string[]>): string[] {
  const remaining = new Set(left);
  const path: string[] = [];
  let current = left[0];
  while (current !== undefined && !path.includes(current)) {
    path.push(current);
    current = usersOf.get(current)?.find((user) => remaining.has(user));
  }
  const cycle = path.slice(path.indexOf(current ?? '')).reverse();
  const least = cycle.indexOf([...cycle].sort(byCodeUnits)[0] ?? '');
  const rotated = [...cycle.slice(least), ...cycle.slice(0, least)];
  return [...rotated, ...rotated.slice(0, 1)];
}

function usersOfEach(
  components: ReadonlyMap<string, readonly string[]>,
  ids: readonly string[],
): Map<string, string[]> {
  const users = new Map<string, string[]>(ids.map((id) => [id, []]));
  for (const id of ids) for (const component of new Set(components.get(id))) users.get(component)?.push(id);
  return users;
}

/**
 * The recipes in an order in which each stands after all that use it, so that what is needed of a shared base is known before the base is exploded.
 * Kahn's algorithm, ties by id. `components` maps every recipe to the recipes in it; ids that are no key are not looked at.
 * Errors: `recipe-cycle`, which names the cycle as `a > b > a`; `too-deep`, which names the chain of more than eight.
 */
export function recipeOrder(components: ReadonlyMap<string, readonly string[]>): string[] {
  const ids = [...components.keys()].sort(byCodeUnits);
  const usersOf = usersOfEach(components, ids);
  const usersLeft = new Map(ids.map((id) => [id, usersOf.get(id)?.length ?? 0]));
  const pathTo = new Map<string, string[]>();
  const order = ids.filter((id) => usersLeft.get(id) === 0);
  for (const id of order) {
    const path = [...(pathTo.get(id) ?? []), id];
    if (path.length > deepestNesting) throw tooDeep(path);
    for (const component of [...new Set(components.get(id))].sort(byCodeUnits)) {
      const left = usersLeft.get(component);
      if (left === undefined) continue;
      if (path.length > (pathTo.get(component)?.length ?? 0)) pathTo.set(component, path);
      usersLeft.set(component, left - 1);
      if (left === 1) order.push(component);
    }
  }
  if (order.length < ids.length) {
    const done = new Set(order);
    throw cycleOf(
      findCycle(
        ids.filter((id) => !done.has(id)),
        usersOf,
      ),
    );
  }
  return order;
}

function cycleOf(cycle: readonly string[]): DomainError {
  const detail = `A recipe would contain itself: ${named(cycle)}.`;
  return new DomainError('recipe-cycle', detail, {
    errors: [{ pointer: '#/recipes', detail }],
    params: { cycle: named(cycle) },
  });
}

function tooDeep(path: readonly string[]): DomainError {
  const detail = `Recipes stand more than ${deepestNesting} deep in one another: ${named(path)}.`;
  return new DomainError('too-deep', detail, {
    errors: [{ pointer: '#/recipes', detail }],
    params: { path: named(path), deepest: deepestNesting },
  });
}
