/** A result in which one thing is different, and what. */
export interface Change<T> {
  /** where, as `/moves/0/offer`, and what has been done there */
  what: string;
  /** the same with `*` for members of lists and for ids, so that changes of one kind can be told from others */
  kind: string;
  result: T;
}

interface Slot {
  path: readonly string[];
  holder: Record<string, unknown>;
  key: string;
}

type Keys = readonly string[];

function slotsOf(value: unknown, path: Keys = []): Slot[] {
  if (typeof value !== 'object' || value === null) return [];
  const holder = value as Record<string, unknown>;
  return Object.keys(holder).flatMap((key) => [
    { path: [...path, key], holder, key },
    ...slotsOf(holder[key], [...path, key]),
  ]);
}

/** One more or one fewer of a number, whether it is one or the text of a whole number or a fraction; undefined for anything else. */
function stepped(value: unknown, by: 1 | -1): unknown {
  if (typeof value === 'number') return value + by;
  if (typeof value !== 'string' || !/^-?\d{1,30}(\/\d{1,30})?$/.test(value)) return undefined;
  const [n = '0', d] = value.split('/');
  return d === undefined ? `${BigInt(n) + BigInt(by)}` : `${BigInt(n) + BigInt(by) * BigInt(d)}/${d}`;
}

/** Changes a copy at one place or at two. */
function copied<T>(result: T, changes: readonly (readonly [Keys, (slot: Slot) => void])[]): T {
  const copy = structuredClone(result);
  for (const [path, change] of changes) {
    let holder = copy as Record<string, unknown>;
    for (const key of path.slice(0, -1)) holder = holder[key] as Record<string, unknown>;
    change({ path, holder, key: path.at(-1) ?? '' });
  }
  return copy;
}

const put =
  (value: unknown) =>
  ({ holder, key }: Slot): void =>
    void (holder[key] = value);
const drop = ({ holder, key }: Slot): void => {
  if (Array.isArray(holder)) holder.splice(Number(key), 1);
  else delete holder[key];
};
const repeat = ({ holder, key }: Slot): void => {
  if (Array.isArray(holder)) holder.push(structuredClone(holder[Number(key)]));
};

/**
 * Every change of a result at one place, and every unit moved between two places of a kind: a number one up or down, a word for another of its kind (`words`
 * gives those that the result does not use itself), a member left out or said twice, one taken from here and put there.
 */
export function singleChanges<T>(result: T, words: Readonly<Record<string, readonly string[]>> = {}): Change<T>[] {
  const slots = slotsOf(result);
  const fixed = new Set(['proof', 'stage', ...Object.keys(result as object)]);
  const kindOf = (path: Keys): string =>
    path.map((key, i) => (i === 0 || fixed.has(key) || /^[a-z]+[A-Za-z]*$/.test(key) ? key : '*')).join('/');
  const changes: Change<T>[] = [];
  const add = (kind: string, what: string, parts: Parameters<typeof copied>[1]): void =>
    void changes.push({ kind, what, result: copied(result, parts) });
  for (const { path, holder, key } of slots) {
    const value = holder[key];
    const [where, kind] = [`/${path.join('/')}`, kindOf(path)];
    for (const by of [1, -1] as const) {
      const other = stepped(value, by);
      if (other === undefined) continue;
      add(`${kind} stepped`, `${where} from ${String(value)} to ${String(other)}`, [[path, put(other)]]);
      // The same unit is put to every other number of the kind.
      if (by === 1) continue;
      for (const second of slots) {
        const more = stepped(second.holder[second.key], 1);
        if (second.path.join('/') === path.join('/') || kindOf(second.path) !== kind || more === undefined) continue;
        const pair = [[path, put(other)] as const, [second.path, put(more)] as const];
        add(`${kind} moved`, `${where} less, /${second.path.join('/')} more`, pair);
      }
    }
    if (typeof value === 'string' && stepped(value, 1) === undefined) {
      const used = slots.filter(({ path: other }) => kindOf(other) === kind).map((slot) => slot.holder[slot.key]);
      const others = new Set([...used, ...(words[kind] ?? []), ...(words[key] ?? []), 'somebody else']);
      for (const word of others)
        if (word !== value) add(`${kind} replaced`, `${where} from ${value} to ${String(word)}`, [[path, put(word)]]);
    }
    add(`${kind} dropped`, `${where} left out`, [[path, drop]]);
    if (Array.isArray(holder)) add(`${kind} repeated`, `${where} said twice`, [[path, repeat]]);
  }
  return changes;
}
