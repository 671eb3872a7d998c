/**
 * Who gets which object when everybody owns one and each points to the best that is still there: cycles of pointing trade and leave, until nobody is left. The
 * result is the one in the core, and nobody gains by not telling the truth. Source: Shapley and Scarf, On cores and indivisibility, Journal of Mathematical
 * Economics 1 (1974), who credit David Gale. `preferences`: agent to objects, best first; objects that are left out are worse than one's own. `owners`:
 * object to agent, each agent owning one. Gives agent to object. Throws RangeError when an owner has
 * no preferences or more than one object.
 */
export function topTradingCycles(
  preferences: ReadonlyMap<string, readonly string[]>,
  owners: ReadonlyMap<string, string>,
): Map<string, string> {
  const ownerOf = new Map(owners);
  const objectOf = new Map([...owners].map(([object, agent]) => [agent, object]));
  if (objectOf.size !== ownerOf.size) throw new RangeError('Somebody owns more than one object.');
  const gets = new Map<string, string>();
  const best = (agent: string): string => {
    const wished = preferences.get(agent);
    const own = objectOf.get(agent);
    if (!wished || own === undefined) throw new RangeError(`${agent} has no preferences or no object.`);
    return wished.find((object) => ownerOf.has(object)) ?? own;
  };
  for (let [start] = ownerOf.values(); start !== undefined; [start] = ownerOf.values()) {
    // Following where each points must come back to somebody: that is a cycle.
    const path: string[] = [];
    let agent = start;
    while (!path.includes(agent)) {
      path.push(agent);
      agent = ownerOf.get(best(agent)) ?? agent;
    }
    const cycle = path.slice(path.indexOf(agent)).map((member) => [member, best(member)] as const);
    for (const [member, object] of cycle) gets.set(member, object);
    for (const [, object] of cycle) ownerOf.delete(object);
  }
  return gets;
}
