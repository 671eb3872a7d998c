import type { Measures } from '@frostmoot/calc';
import {
  convertQuantity,
  countedIn,
  findUnit,
  invalidInput,
  lastingUnitName,
  ownDensity,
  rational,
} from '@frostmoot/calc';
import { DomainError } from '@frostmoot/calc';
import type { InputFault } from '@frostmoot/calc';
import type { createReceipt } from '@frostmoot/contract';
import type { z } from 'zod';
import type { IngredientRow } from '../recipes/ingredients.repository.ts';
import type { PurchaseRow } from './purchases.repository.ts';

type TypedLine = z.infer<typeof createReceipt>['lines'][number];

/** A line as it will be kept, before it is split. */
export interface CheckedLine {
  kind: 'goods' | 'fee';
  purchaseId: string | null;
  ingredientId: string | null;
  label: string;
  packs: number | null;
  actualQuantity: string | null;
  unit: string | null;
  amountMinor: bigint;
  lots: { code: string; bestBefore: string | null }[];
}

/** What lines may name: purchases of the round and the cooperative's ingredients. */
export interface Nameable {
  purchases: ReadonlyMap<string, PurchaseRow>;
  ingredients: ReadonlyMap<string, IngredientRow>;
}

/** The typed lines against what they name, every fault at its place. */
export function checkedLines(typed: readonly TypedLine[], named: Nameable, measures: Measures): CheckedLine[] {
  const faults: InputFault[] = [];
  const lines = typed.map((line, index) => checkedLine(line, named, measures, `#/lines/${index}`, faults));
  if (faults.length > 0) throw invalidInput(faults);
  return lines;
}

function checkedLine(
  line: TypedLine,
  { purchases, ingredients }: Nameable,
  measures: Measures,
  at: string,
  faults: InputFault[],
): CheckedLine {
  const { kind, purchaseId, label, packs, actualQuantity, unit } = line;
  const purchase = purchaseId === null ? undefined : purchases.get(purchaseId);
  const ingredientId = line.ingredientId ?? purchase?.offer.ingredientId ?? null;
  if (purchaseId !== null && !purchase) {
    faults.push({ pointer: `${at}/purchaseId`, detail: 'Is no purchase of this round.' });
  }
  if (ingredientId !== null && !ingredients.has(ingredientId)) {
    faults.push({ pointer: `${at}/ingredientId`, detail: 'There is no such ingredient.' });
  }
  if (purchase && ingredientId !== purchase.offer.ingredientId) {
    faults.push({ pointer: `${at}/ingredientId`, detail: `The purchase is of ${purchase.offer.ingredient.name}.` });
  }
  if (kind === 'fee' && ingredientId !== null) {
    faults.push({ pointer: `${at}/kind`, detail: 'A fee is for the whole receipt, not for one ingredient.' });
  }
  if (line.lots.length > 0 && (kind === 'fee' || ingredientId === null)) {
    faults.push({ pointer: `${at}/lots`, detail: 'Only goods of an ingredient have a lot.' });
  }
  for (const [place, { code }] of line.lots.entries()) {
    const isTwice = line.lots.findIndex((other) => other.code === code) < place;
    if (isTwice) faults.push({ pointer: `${at}/lots/${place}/code`, detail: 'This lot stands on the line already.' });
  }
  return {
    kind,
    purchaseId,
    ingredientId,
    label,
    packs,
    actualQuantity: actualQuantity === null ? null : rational.format(rational.parse(actualQuantity)),
    unit: unit === null ? null : unitOf(unit, ingredients.get(ingredientId ?? ''), measures, `${at}/unit`, faults),
    amountMinor: BigInt(line.amountMinor),
    lots: line.lots,
  };
}

/** The unit's lasting name, if it can be a unit of that ingredient. */
function unitOf(
  name: string,
  ingredient: IngredientRow | undefined,
  measures: Measures,
  pointer: string,
  faults: InputFault[],
): string {
  const unit = findUnit(name, measures);
  if (!unit) {
    faults.push({ pointer, detail: `There is no unit "${name}".`, code: 'unknown-unit' });
    return name;
  }
  if (ingredient) {
    const { baseUnit, density, densitySource } = ingredient;
    try {
      convertQuantity(rational.one, unit, countedIn(baseUnit), ownDensity(ingredient.name, density, densitySource));
    } catch (error) {
      if (!(error instanceof DomainError)) throw error;
      faults.push({ pointer, detail: error.message, code: error.code });
    }
  }
  return lastingUnitName(unit);
}
