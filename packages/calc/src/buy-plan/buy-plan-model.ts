import { ModelBuilder } from '../solver/model-builder.ts';
import type { IntegerModel, Terms } from '../solver/model.ts';
import type { BuyProblem, Ingredient, PackOption, ProblemSeller } from './buy-problem.ts';
import { valueOf } from './buy-problem.ts';
import { hasSeller } from './cheapest-cover.ts';
import type { Plan } from './plan-cost.ts';

const packsName = ({ id }: PackOption): string => `packs ${id}`;
const someName = ({ id }: PackOption): string => `some ${id}`;
const storedName = ({ id }: Ingredient): string => `stored ${id}`;
const openName = ({ id }: ProblemSeller): string => `open ${id}`;
const freeName = ({ id }: ProblemSeller): string => `free ${id}`;

/** The stage that seeks the least cost less worth, in the problem's scale. */
const costStage = 'cost';

/** No cheapest plan has more packs of an option: enough for the need and for the seller's thresholds by itself. */
function mostPacks(
  { cap }: Ingredient,
  { size, price, least, most }: PackOption,
  seller: ProblemSeller | undefined,
): number {
  const threshold = Math.max(seller?.freeFrom ?? 0, seller?.minimumOrder ?? 0);
  const enough = Math.ceil(cap / size) + (price > 0 ? Math.ceil(threshold / price) : 0);
  return Math.min(most, Math.max(least, enough));
}

function addPacks(builder: ModelBuilder, problem: BuyProblem, ingredient: Ingredient): void {
  for (const option of ingredient.options) {
    const seller = problem.sellers[option.seller] as ProblemSeller;
    const most = mostPacks(ingredient, option, seller);
    const packs = builder.whole(packsName(option), 0, most);
    builder.atMost(
      `${packs}: only from an open seller`,
      [
        [packs, 1],
        [openName(seller), -most],
      ],
      0,
    );
    if (option.least === 1) continue;
    const some = builder.decision(someName(option));
    builder.atMost(
      `${packs}: none or some`,
      [
        [packs, 1],
        [some, -most],
      ],
      0,
    );
    builder.atLeast(
      `${packs}: at least ${option.least}`,
      [
        [packs, 1],
        [some, -option.least],
      ],
      0,
    );
  }
}

function addNeed(builder: ModelBuilder, ingredient: Ingredient): void {
  const sizes = ingredient.options.map((option) => [packsName(option), option.size] as const);
  builder.atLeast(`need ${ingredient.id}`, sizes, ingredient.needed);
  if (ingredient.mostValue === 0) return;
  const stored = builder.wholeByStructure(storedName(ingredient), 0, ingredient.mostValue);
  const worth = ingredient.options.map((option) => [packsName(option), option.size * ingredient.perStep] as const);
  builder.atLeast(`worth ${ingredient.id}`, [...worth, [stored, -1]], ingredient.offset);
}

function addThreshold(builder: ModelBuilder, problem: BuyProblem, seller: ProblemSeller, place: number): void {
  const goods = problem.ingredients.flatMap(({ options }) =>
    options.flatMap((option) => (option.seller === place ? [[packsName(option), option.price] as const] : [])),
  );
  const { minimumOrder, freeFrom, fee } = seller;
  if (minimumOrder > 0) builder.atLeast(`minimum ${seller.id}`, [...goods, [openName(seller), -minimumOrder]], 0);
  if (freeFrom === undefined || fee === 0) return;
  const free = builder.decision(freeName(seller));
  builder.atMost(
    `${free}: only where open`,
    [
      [free, 1],
      [openName(seller), -1],
    ],
    0,
  );
  if (freeFrom > 0) builder.atLeast(`free from ${seller.id}`, [...goods, [free, -freeFrom]], 0);
}

function costTerms({ sellers, ingredients, scale }: BuyProblem): Terms {
  const times = Number(scale);
  return [
    ...ingredients.flatMap((ingredient) => [
      ...ingredient.options.map((option) => [packsName(option), option.price * times] as const),
      ...(ingredient.mostValue > 0 ? [[storedName(ingredient), -Math.floor(times / ingredient.scale)] as const] : []),
    ]),
    ...sellers.flatMap((seller) => [
      [openName(seller), seller.fee * times] as const,
      ...(seller.freeFrom !== undefined && seller.fee > 0 ? [[freeName(seller), -seller.fee * times] as const] : []),
    ]),
  ];
}

/** The plain integer program of a buy-plan: least cost, then fewest sellers. Its numbers may be too large for a solver, see modelFaults. */
export function buyPlanModel(problem: BuyProblem): IntegerModel {
  const builder = new ModelBuilder();
  for (const seller of problem.sellers) builder.decision(openName(seller));
  for (const ingredient of problem.ingredients) {
    addPacks(builder, problem, ingredient);
    addNeed(builder, ingredient);
  }
  problem.sellers.forEach((seller, place) => addThreshold(builder, problem, seller, place));
  builder.seek(costStage, 'least', costTerms(problem));
  builder.seek(
    'sellers',
    'least',
    problem.sellers.map((seller) => [openName(seller), 1]),
  );
  return builder.build({ seed: 'buy-plan' });
}

/** The variables' values for a plan, as a solution to begin with. */
export function valuesOfPlan(problem: BuyProblem, plan: Plan): Map<string, number> {
  const values = new Map<string, number>();
  problem.sellers.forEach((seller, place) => {
    const isOpen = hasSeller(plan.used, place);
    values.set(openName(seller), isOpen ? 1 : 0);
    if (seller.freeFrom === undefined || seller.fee === 0) return;
    values.set(freeName(seller), isOpen && (plan.goods[place] ?? 0) >= seller.freeFrom ? 1 : 0);
  });
  problem.ingredients.forEach((ingredient, index) => {
    const counts = new Map(plan.covers[index]?.packs);
    let size = 0;
    ingredient.options.forEach((option, place) => {
      const count = counts.get(place) ?? 0;
      size += count * option.size;
      values.set(packsName(option), count);
      if (option.least > 1) values.set(someName(option), count > 0 ? 1 : 0);
    });
    if (ingredient.mostValue > 0) {
      values.set(storedName(ingredient), valueOf(ingredient, Math.min(size, ingredient.cap)));
    }
  });
  return values;
}

/** The packs in a solution, by offer. */
export const packsOfValues = ({ ingredients }: BuyProblem, values: ReadonlyMap<string, number>): Map<string, number> =>
  new Map(
    ingredients.flatMap(({ options }) =>
      options.flatMap((option): [string, number][] => {
        const count = values.get(packsName(option)) ?? 0;
        return count > 0 ? [[option.id, count]] : [];
      }),
    ),
  );
