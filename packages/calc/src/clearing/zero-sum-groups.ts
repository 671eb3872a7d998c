import { byCodeUnits } from '../canonical.ts';

/** Somebody's balance, not nil. */
export interface Balance {
  id: string;
  amount: bigint;
}

/** Balances in groups that each sum to nil, and whether there can be no division into more of them. */
export interface Groups {
  groups: Balance[][];
  optimal: boolean;
  /** no division has more groups than this */
  mostGroups: number;
}

/** Up to so many balances the search is complete: 2^21 sums for the last. */
const mostExact = 22;

/** Larger amounts first, so that what is found does not depend on names except among equals. */
const ordered = (balances: readonly Balance[]): Balance[] =>
  [...balances].sort((a, b) => {
    const [x, y] = [a.amount < 0n ? -a.amount : a.amount, b.amount < 0n ? -b.amount : b.amount];
    return x === y ? (a.amount === b.amount ? byCodeUnits(a.id, b.id) : a.amount < b.amount ? -1 : 1) : x > y ? -1 : 1;
  });

/** Takes out every pair of exact opposites. */
function opposites(balances: readonly Balance[]): { pairs: Balance[][]; rest: Balance[] } {
  const waiting = new Map<bigint, Balance[]>();
  const pairs: Balance[][] = [];
  for (const balance of balances) {
    const other = waiting.get(-balance.amount)?.shift();
    if (other) pairs.push([other, balance]);
    else waiting.set(balance.amount, [...(waiting.get(balance.amount) ?? []), balance]);
  }
  return { pairs, rest: ordered([...waiting.values()].flat()) };
}

/** The most groups that any order of all but the last can be cut into, for every subset; then read backwards. */
function mostGroupsOf(balances: readonly Balance[]): Balance[][] {
  const last = balances.length - 1;
  const full = 1 << last;
  const sums = new Float64Array(full);
  const most = new Int8Array(full);
  const amounts = balances.map(({ amount }) => Number(amount));
  for (let set = 1; set < full; set++) {
    const low = set & -set;
    sums[set] = (sums[set ^ low] ?? 0) + (amounts[31 - Math.clz32(low)] ?? 0);
    let best = 0;
    for (let left = set; left !== 0; left &= left - 1) {
      const without = most[set ^ (left & -left)] ?? 0;
      if (without > best) best = without;
    }
    most[set] = sums[set] === 0 ? best + 1 : best;
  }
  const groups: Balance[][] = [];
  let group = balances.slice(last);
  for (let set = full - 1; set !== 0;) {
    if (sums[set] === 0) {
      groups.push(group);
      group = [];
    }
    const wanted = (most[set] ?? 0) - (sums[set] === 0 ? 1 : 0);
    let left = set;
    while ((most[set ^ (left & -left)] ?? 0) !== wanted) left &= left - 1;
    const taken = left & -left;
    group.push(...balances.slice(31 - Math.clz32(taken), 32 - Math.clz32(taken)));
    set ^= taken;
  }
  return [...groups, group];
}

/** Takes out groups of three, then of four, that sum to nil: each the first in the given order. */
function peel(balances: readonly Balance[], size: 3 | 4): { groups: Balance[][]; rest: Balance[] } {
  const rest = [...balances];
  const groups: Balance[][] = [];
  const find = (from: number, left: number, sum: bigint): number[] | undefined => {
    for (let i = from; i < rest.length; i++) {
      const total = sum + (rest[i]?.amount ?? 0n);
      if (left === 1) {
        if (total === 0n) return [i];
        continue;
      }
      const others = find(i + 1, left - 1, total);
      if (others) return [i, ...others];
    }
    return undefined;
  };
  // The search grows with the third and fourth power; beyond these numbers nobody waits for it.
  const limit = size === 3 ? 600 : 120;
  for (let found = rest.length <= limit ? find(0, size, 0n) : undefined; found; found = find(0, size, 0n)) {
    groups.push(found.flatMap((i) => rest[i] ?? []));
    for (const i of [...found].reverse()) rest.splice(i, 1);
  }
  return { groups, rest };
}

const isSafe = (balances: readonly Balance[]): boolean =>
  balances.reduce((sum, { amount }) => sum + (amount < 0n ? -amount : amount), 0n) <= BigInt(Number.MAX_SAFE_INTEGER);

/**
 * Balances that sum to nil, divided into as many groups that sum to nil as possible; a group of k is settled by k - 1 payments.
 * Method: exact opposites are paired first, which costs nothing: if a division has them in two groups, those two become the pair and the rest, which
 * sums to nil as well. Then dynamic programming over subsets: the most groups that a subset's members can be put into, one after another
 * (up to 22 balances that are left). Above that, or where sums pass 2^53, groups of three and four are taken out as they are found, and the
 * result is not said to be the best. Source: the problem is that of Verhoeff, Settling multiple debts efficiently, Informatics in Education 3
 * (2004). `balances`: not nil, distinct ids. Ties by amount and then by id, so the order of the input does not matter.
 */
export function zeroSumGroups(balances: readonly Balance[]): Groups {
  const { pairs, rest } = opposites(ordered(balances));
  if (rest.length === 0) return { groups: pairs, optimal: true, mostGroups: pairs.length };
  // Without opposites every group has at least three.
  const mostGroups = pairs.length + Math.floor(rest.length / 3);
  if (rest.length <= mostExact && isSafe(rest)) {
    const groups = [...pairs, ...mostGroupsOf(rest)];
    return { groups, optimal: true, mostGroups: groups.length };
  }
  const threes = peel(rest, 3);
  const fours = peel(threes.rest, 4);
  const left = fours.rest;
  const ends = left.length === 0 ? [] : left.length <= mostExact && isSafe(left) ? mostGroupsOf(left) : [left];
  const groups = [...pairs, ...threes.groups, ...fours.groups, ...ends];
  return { groups, optimal: groups.length === mostGroups, mostGroups };
}
