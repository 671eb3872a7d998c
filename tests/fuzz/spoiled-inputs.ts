import fc from 'fast-check';
import { goldenCases } from '../calc/golden-cases.ts';

/** Values that readers have been seen to stumble over: not a number, of the wrong kind, at the ends of a range, or made to be expensive. */
const nasty: readonly unknown[] = [
  ...[null, true, false, 0, -1, 1, 2, 1.5, -0, 1e21, 2 ** 53, -(2 ** 53), Number.MAX_SAFE_INTEGER],
  ...['', ' ', '0', '-1', '1', '7/2', '-7/2', '1/0', '0/1', '0.000000000001', 'NaN', 'Infinity', '1e9', '0x10', '٣'],
  ...['9'.repeat(18), '9'.repeat(19), '9'.repeat(60), '9'.repeat(61), `1/${'9'.repeat(57)}`, 'x'.repeat(121)],
  ...['furlong', 'g', 'kg', 'cup', 'each', 'lb', '2026-11-28', '2026-02-30', '2026-11-28T12:00:00Z', '9999-12-31'],
  ...['9999-12-31T23:59:59.999Z', '\u0000', '\ud800', '__proto__', 'constructor', 'toString', 'a', 'b'],
  ...[[], {}, [[]], [null], [{}], { a: {} }, ['a', 'a'], { '': '' }, { a: '1', b: '1' }, { '\ud800': 1 }],
];

interface Spoil {
  kind: 'replace' | 'delete' | 'repeat' | 'move' | 'add' | 'change';
  /** which place of the input, counted from its start and taken round */
  place: number;
  other: number;
  value: unknown;
}

const spoil: fc.Arbitrary<Spoil> = fc.record({
  kind: fc.constantFrom('replace', 'replace', 'delete', 'repeat', 'move', 'add', 'change', 'change'),
  place: fc.nat(),
  other: fc.nat(),
  value: fc.oneof({ weight: 6, arbitrary: fc.constantFrom(...nasty) }, fc.jsonValue({ maxDepth: 3 })),
});

interface Slot {
  holder: Record<string, unknown>;
  key: string;
}

/** Every member of every list and record inside of a value. */
function slotsOf(value: unknown): Slot[] {
  if (typeof value !== 'object' || value === null) return [];
  const holder = value as Record<string, unknown>;
  return Object.keys(holder).flatMap((key) => [{ holder, key }, ...slotsOf(holder[key])]);
}

/** A number or a numeric text that is a little or a lot different, anything else as it was. */
function changed(value: unknown, by: number): unknown {
  const step = (by % 7) - 3;
  if (typeof value === 'number') return by % 2 === 0 ? value + step : value * step;
  if (typeof value !== 'string') return value;
  if (/^-?\d{1,15}$/.test(value)) return by % 3 === 0 ? `${value}0` : String(Number(value) + step);
  return by % 2 === 0 ? value.slice(0, -1) : `${value}${by % 10}`;
}

function put({ holder, key }: Slot, value: unknown): void {
  Object.defineProperty(holder, key, { value, writable: true, enumerable: true, configurable: true });
}

/** The input with one thing wrong, or only different. */
function spoiled(input: unknown, { kind, place, other, value: given }: Spoil): unknown {
  const value = structuredClone(given);
  const slots = slotsOf(input);
  const slot = slots[place % Math.max(1, slots.length)];
  const second = slots[other % Math.max(1, slots.length)];
  if (!slot || !second) return value;
  const here = slot.holder[slot.key];
  const isList = Array.isArray(slot.holder);
  if (kind === 'replace') put(slot, value);
  else if (kind === 'change') put(slot, changed(here, other));
  else if (kind === 'delete' && isList) (slot.holder as unknown as unknown[]).splice(Number(slot.key), 1);
  else if (kind === 'delete') delete slot.holder[slot.key];
  else if (kind === 'repeat' && isList) (slot.holder as unknown as unknown[]).push(structuredClone(here));
  else if (kind === 'add' && isList) (slot.holder as unknown as unknown[]).push(value);
  else if (kind === 'add') put({ ...slot, key: typeof value === 'string' ? value : JSON.stringify(value) }, here);
  // What stands elsewhere is put here, as a copy, so that nothing stands inside of itself.
  else put(slot, structuredClone(second.holder[second.key]));
  return input;
}

/** Inputs of a calculation: its worked cases with a few things wrong, and now and then any JSON at all. */
export function inputsOf(command: string): fc.Arbitrary<unknown> {
  const worked = goldenCases.filter((each) => each.command === command).map(({ input }) => input);
  const wrong = fc
    .tuple(fc.constantFrom(...worked), fc.array(spoil, { minLength: 1, maxLength: 4 }))
    .map(([input, spoils]) => spoils.reduce(spoiled, structuredClone(input)));
  return fc.oneof({ weight: 9, arbitrary: wrong }, { weight: 1, arbitrary: fc.jsonValue({ maxDepth: 4 }) });
}
