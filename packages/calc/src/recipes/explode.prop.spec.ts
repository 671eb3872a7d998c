import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson } from '../canonical.ts';
import type { Rational } from '../rational.ts';
import { add, ceil, cmp, div, format, mul, parse, rational, sub, zero } from '../rational.ts';
import { explode } from './explode.ts';

interface PlainLine {
  recipe?: string;
  item?: string;
  quantity: string;
  unit: string;
  edibleYield?: string;
}
interface PlainRecipe {
  id: string;
  makes: { quantity: string; unit: string };
  lines: PlainLine[];
}

const figure = fc.integer({ min: 1, max: 60 }).map((n) => `${n}/4`);
const item = fc.constantFrom('onion', 'flour', 'egg');
const itemLine = fc.record({
  item,
  quantity: figure,
  unit: fc.constant('g'),
  edibleYield: fc.constantFrom('1', '0.9', '3/4'),
});

/** Up to six recipes, each using only later ones, so that there is no cycle. */
const recipes: fc.Arbitrary<PlainRecipe[]> = fc.integer({ min: 1, max: 6 }).chain((count) =>
  fc.tuple(
    ...Array.from({ length: count }, (_, index) => {
      const later = Array.from({ length: count - index - 1 }, (_unused, j) => `r${index + 1 + j}`);
      const componentLine = fc.record({
        recipe: fc.constantFrom(...later, 'none'),
        quantity: figure,
        unit: fc.constant('portion'),
      });
      const lines = fc.tuple(
        fc.array(itemLine, { maxLength: 3 }),
        fc
          .array(componentLine, { maxLength: later.length > 0 ? 3 : 0 })
          .map((all) => all.filter(({ recipe }) => recipe !== 'none')),
      );
      return fc.tuple(figure, lines).map(([quantity, [own, components]]): PlainRecipe => ({
        id: `r${index}`,
        makes: { quantity, unit: 'portion' },
        lines: [...own, ...components],
      }));
    }),
  ),
);
const kitchen = recipes.chain((all) =>
  fc.record({
    recipes: fc.constant(all),
    wanted: fc.array(
      fc.record({
        recipe: fc.constantFrom(...all.map(({ id }) => id)),
        quantity: figure,
        unit: fc.constant('portion'),
      }),
      { maxLength: 4 },
    ),
  }),
);

/** The plain way, dish by dish down to the items, without summing first: the oracle. */
function needsByDescent(
  all: readonly PlainRecipe[],
  id: string,
  quantity: Rational,
  needs: Map<string, Rational>,
): void {
  const recipe = all.find((each) => each.id === id);
  if (!recipe) throw new Error(`no recipe ${id}`);
  const factor = div(quantity, parse(recipe.makes.quantity));
  for (const line of recipe.lines) {
    const taken = div(mul(parse(line.quantity), factor), parse(line.edibleYield ?? '1'));
    if (line.item) needs.set(line.item, add(needs.get(line.item) ?? zero, taken));
    else needsByDescent(all, line.recipe ?? '', taken, needs);
  }
}

describe('explode, for any recipes', () => {
  it('needs of every item exactly what going down dish by dish needs', () => {
    fc.assert(
      fc.property(kitchen, (input) => {
        const needs = new Map<string, Rational>();
        for (const { recipe, quantity } of input.wanted) needsByDescent(input.recipes, recipe, parse(quantity), needs);
        const exact = Object.entries(explode(input).needs).map(([id, need]) => [id, need.exact]);
        expect(Object.fromEntries(exact)).toEqual(
          Object.fromEntries([...needs].map(([id, value]) => [id, format(value)])),
        );
      }),
    );
  });

  it('gives the same bytes whatever the order of its lists', () => {
    const twice = kitchen.chain((input) =>
      fc.tuple(
        fc.constant(input),
        fc.record({
          recipes: fc.shuffledSubarray(
            input.recipes.map((recipe) => ({ ...recipe, lines: [...recipe.lines].reverse() })),
            { minLength: input.recipes.length },
          ),
          wanted: fc.shuffledSubarray(input.wanted, { minLength: input.wanted.length }),
        }),
      ),
    );
    fc.assert(
      fc.property(twice, ([one, other]) => {
        expect(canonicalJson(explode(other))).toBe(canonicalJson(explode(one)));
      }),
    );
  });

  it('buys whole units, never too few, and less than one too many, whatever is in stock', () => {
    fc.assert(
      fc.property(kitchen, figure, figure, (input, size, inStock) => {
        const wholeUnits = Object.fromEntries(
          ['onion', 'flour', 'egg'].map((id) => [id, { quantity: size, unit: 'g' }]),
        );
        const stock = { onion: { quantity: inStock, unit: 'g' } };
        const without = explode(input).needs;
        for (const [id, need] of Object.entries(explode({ ...input, wholeUnits, stock }).needs)) {
          const [exact, purchase] = [parse(need.exact), parse(need.purchase ?? '-1')];
          const full = parse(without[id]?.exact ?? '-1');
          const left = id === 'onion' ? sub(full, parse(inStock)) : full;
          expect(format(exact)).toBe(format(cmp(left, zero) < 0 ? zero : left));
          expect(format(purchase)).toBe(format(mul(rational(ceil(div(exact, parse(size)))), parse(size))));
          expect(need.surplus).toBe(format(sub(purchase, exact)));
        }
      }),
    );
  });
});
