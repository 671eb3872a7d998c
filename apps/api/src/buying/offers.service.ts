import { Injectable } from '@nestjs/common';
import { convertQuantity, countedIn, DomainError, endsAround, familiarUnitName, findUnit } from '@frostmoot/calc';
import { lastingUnitName, offersInForce, ownDensity, rational } from '@frostmoot/calc';
import type { Measures } from '@frostmoot/calc';
import type { changeSeller, offer, offers, saveOffer, saveSeller, seller, sellers } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Seller } from '../generated/prisma/client.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import { CooperativeSettings } from '../recipes/cooperative-settings.ts';
import type { IngredientRow } from '../recipes/ingredients.repository.ts';
import { IngredientsRepository } from '../recipes/ingredients.repository.ts';
import type { OfferRow } from './offers.repository.ts';
import { knownSeller, OffersRepository } from './offers.repository.ts';

type Typed = z.infer<typeof saveOffer>;

@Injectable()
export class OffersService {
  constructor(
    private readonly work: UnitOfWork,
    private readonly rows: OffersRepository,
    private readonly ingredients: IngredientsRepository,
    private readonly settings: CooperativeSettings,
  ) {}

  sellers(actor: Actor): Promise<z.infer<typeof sellers>> {
    return this.work.read(actor, async (tx) => ({ items: (await this.rows.sellers(tx, actor)).map(sellerAnswer) }));
  }

  addSeller(actor: Actor, { name, ...terms }: z.infer<typeof saveSeller>): Promise<z.infer<typeof seller>> {
    return this.work.write(actor, async (tx) => {
      const { feeMinor, freeFromMinor, minimumMinor } = terms;
      const row = await this.rows.addSeller(tx, actor, {
        name,
        feeMinor: BigInt(feeMinor),
        freeFromMinor: freeFromMinor === null ? null : BigInt(freeFromMinor),
        minimumMinor: BigInt(minimumMinor),
      });
      await tell(tx, actor, 'buying', row.id);
      return sellerAnswer(row);
    });
  }

  changeSeller(
    actor: Actor,
    id: string,
    version: number,
    { name, feeMinor, freeFromMinor, minimumMinor }: z.infer<typeof changeSeller>,
  ): Promise<z.infer<typeof seller>> {
    return this.work.write(actor, async (tx) => {
      const known = await this.rows.lockSeller(tx, actor, id);
      if (!known) throw new DomainError('not-found', 'There is no such seller');
      requireVersion(known.version, version);
      const row = await this.rows.changeSeller(tx, actor, id, {
        ...(name === undefined ? {} : { name }),
        ...(feeMinor === undefined ? {} : { feeMinor: BigInt(feeMinor) }),
        ...(freeFromMinor === undefined
          ? {}
          : { freeFromMinor: freeFromMinor === null ? null : BigInt(freeFromMinor) }),
        ...(minimumMinor === undefined ? {} : { minimumMinor: BigInt(minimumMinor) }),
      });
      await tell(tx, actor, 'buying', row.id);
      await tell(tx, actor, 'rounds');
      return sellerAnswer(row);
    });
  }

  offers(actor: Actor, ingredientId?: string): Promise<z.infer<typeof offers>> {
    return this.work.read(actor, async (tx) => {
      const { measures } = await this.settings.of(tx, actor);
      const rows = await this.rows.list(tx, actor, ingredientId === undefined ? undefined : [ingredientId]);
      return { items: stillMeant(rows).map((row) => offerAnswer(row, measures)) };
    });
  }

  addOffer(actor: Actor, typed: Typed): Promise<z.infer<typeof offer>> {
    return this.work.write(actor, async (tx) => {
      const { measures } = await this.settings.of(tx, actor);
      knownSeller(await this.rows.lockSeller(tx, actor, typed.sellerId));
      const [ingredient] = await this.ingredients.hold(tx, actor, [typed.ingredientId]);
      const pack = checkedPack(typed, ingredient, measures);
      const samePack = (await this.rows.list(tx, actor, [typed.ingredientId])).filter(
        (row) =>
          row.sellerId === typed.sellerId && row.packQuantity === pack.packQuantity && row.packUnit === pack.packUnit,
      );
      const { end, lastDay, validTo } = endsAround(samePack, typed.validFrom);
      await this.rows.end(tx, actor, end, lastDay);
      const { sellerId, ingredientId, label, catchWeight, validFrom, minPacks, maxPacks } = typed;
      requireOrder(typed);
      const row = await this.rows.add(tx, actor, {
        ...{ sellerId, ingredientId, label, catchWeight, minPacks, maxPacks, validFrom, validTo },
        ...pack,
        priceMinor: BigInt(typed.priceMinor),
      });
      await tell(tx, actor, 'buying', row.id);
      return offerAnswer(row, measures);
    });
  }
}

/** Of prices from the same day only the last one typed is meant. */
const stillMeant = (rows: readonly OfferRow[]): OfferRow[] => {
  const days = new Set(rows.map(({ validFrom }) => validFrom));
  const meant = new Set(
    [...days].flatMap((day) =>
      offersInForce(
        rows.filter((row) => row.validFrom === day),
        day,
      ),
    ),
  );
  return rows.filter((row) => meant.has(row));
};

/** A pack's size in lowest terms and its unit's lasting name, checked against the ingredient. */
function checkedPack(
  { packQuantity, packUnit }: Typed,
  ingredient: IngredientRow | undefined,
  measures: Measures,
): { packQuantity: string; packUnit: string } {
  const quantity = rational.parse(packQuantity);
  const unit = findUnit(packUnit, measures);
  const refuse = (code: 'invalid-input' | 'unknown-unit', pointer: string, detail: string): never => {
    throw new DomainError(code, detail, { errors: [{ pointer, detail }] });
  };
  if (!ingredient) return refuse('invalid-input', '#/ingredientId', 'There is no such ingredient.');
  if (rational.sign(quantity) <= 0) return refuse('invalid-input', '#/packQuantity', 'Must be more than nil.');
  if (!unit) return refuse('unknown-unit', '#/packUnit', `There is no unit "${packUnit}".`);
  const { name, baseUnit, density, densitySource } = ingredient;
  const gramsPerMl = ownDensity(name, density, densitySource);
  convertQuantity(quantity, unit, countedIn(baseUnit), gramsPerMl, '#/packUnit');
  return { packQuantity: rational.format(quantity), packUnit: lastingUnitName(unit) };
}

function requireOrder({ minPacks, maxPacks }: Typed): void {
  if (minPacks === null || maxPacks === null || minPacks <= maxPacks) return;
  const detail = 'Must not be less than the fewest packs.';
  throw new DomainError('invalid-input', detail, { errors: [{ pointer: '#/maxPacks', detail }] });
}

const sellerAnswer = ({
  id,
  name,
  feeMinor,
  freeFromMinor,
  minimumMinor,
  version,
}: Seller): z.infer<typeof seller> => ({
  id,
  name,
  feeMinor: feeMinor.toString(),
  freeFromMinor: freeFromMinor?.toString() ?? null,
  minimumMinor: minimumMinor.toString(),
  version,
});

const offerAnswer = (row: OfferRow, measures: Measures): z.infer<typeof offer> => ({
  id: row.id,
  seller: row.seller,
  ingredient: row.ingredient,
  label: row.label,
  packQuantity: row.packQuantity,
  packUnit: familiarUnitName(row.packUnit, measures),
  priceMinor: row.priceMinor.toString(),
  catchWeight: row.catchWeight,
  minPacks: row.minPacks,
  maxPacks: row.maxPacks,
  validFrom: row.validFrom,
  validTo: row.validTo,
});
