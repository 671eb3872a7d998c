import { Injectable } from '@nestjs/common';
import { countsFreezers, DomainError, rational, requireStage } from '@frostmoot/calc';
import type { ShareOutOutput } from '@frostmoot/calc';
import type { previewQuery, shareOutPreview } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { SharedCalc } from '../platform/solver/shared-calc.ts';
import { PlannedContainersRepository } from './planned-containers.repository.ts';
import type { BatchOfRound } from './planned-containers.repository.ts';
import { ShareOutRepository } from './share-out.repository.ts';
import { SharingFactsRepository } from './sharing-facts.repository.ts';
import { SharingInput } from './sharing-input.ts';
import type { InputNow } from './sharing-input.ts';

type Preview = z.infer<typeof shareOutPreview>;
type PreviewPart = NonNullable<Preview['parts'][number]['now']>;
type Asked = z.infer<typeof previewQuery>;

const idsOf = (list: string | undefined): Set<string> => new Set(list === undefined ? [] : list.split(','));
const nil = '0';
/** The division takes a second at most with thirty households. */
const MILLISECONDS = 30_000;

/** A share-out to look at while there is still cooking, and "what if": nothing is kept, and nothing of it can be confirmed. */
@Injectable()
export class PreviewService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly shareOuts: ShareOutRepository,
    private readonly facts: SharingFactsRepository,
    private readonly planned: PlannedContainersRepository,
    private readonly inputs: SharingInput,
    private readonly calc: SharedCalc,
  ) {}

  async preview(actor: Actor, roundId: string, asked: Asked): Promise<Preview> {
    const [without, away] = [idsOf(asked.without), idsOf(asked.away)];
    const read = await this.unitOfWork.read(actor, async (tx) => {
      const round = await this.shareOuts.round(tx, actor, roundId);
      if (!round) throw new DomainError('not-found', 'There is no such round');
      requireStage(round.stage, ['cooking', 'sharing'], 'Looking ahead at a share-out');
      if (await this.shareOuts.confirmed(tx, actor, roundId)) {
        throw new DomainError('already-confirmed', 'This round has been shared out already');
      }
      const batches = await this.planned.batches(tx, actor, roundId);
      requireKnown(without, new Set(batches.map(({ id }) => id)));
      const participants = await this.facts.participants(tx, actor, roundId);
      requireKnown(away, new Set(participants.map(({ householdId }) => householdId)));
      const containers = [
        ...(await this.facts.commonContainers(tx, actor, roundId)),
        ...batches.flatMap(({ planned }) => planned),
      ];
      const lots = new Map(batches.map(({ id, lotCode }) => [lotCode, id]));
      const left = containers.filter(({ lotCode }) => !without.has(lots.get(lotCode) ?? ''));
      const window = asked.varietyWindow === undefined ? undefined : rational.parse(asked.varietyWindow);
      return {
        batches,
        names: new Map(participants.map(({ householdId, name }) => [householdId, name])),
        now: await this.inputs.from(tx, actor, roundId, containers),
        changed: await this.inputs.from(tx, actor, roundId, left, {
          away,
          ...(window ? { varietyWindow: window } : {}),
        }),
      };
    });
    // Worked out after the transaction, since it is arithmetic alone.
    const isChanged = without.size > 0 || away.size > 0 || read.changed.input.varietyWindow !== undefined;
    const now = await this.partsOf(read.now, read.batches);
    const changed = isChanged ? await this.partsOf(read.changed, read.batches) : now;
    return {
      roundId,
      batches: read.batches.map(({ id, lotCode, dish, isPlanned, portions }) => ({
        id,
        code: lotCode,
        dish,
        isPlanned,
        portions,
      })),
      totalPortions: read.changed.containers.reduce((sum, { portions }) => sum + portions, 0),
      freezersCounted: countsFreezers(read.changed.containers),
      isChanged,
      parts: [...new Set([...now.keys(), ...changed.keys()])]
        .map((id) => ({
          household: { id, name: read.names.get(id) ?? '' },
          now: now.get(id) ?? null,
          changed: changed.get(id) ?? null,
        }))
        .sort((a, b) => (a.household.name < b.household.name ? -1 : 1)),
    };
  }

  private async partsOf(now: InputNow, batches: readonly BatchOfRound[]): Promise<Map<string, PreviewPart>> {
    return partsIn(now, batches, await this.calc.run('share-out', now.input, { milliseconds: MILLISECONDS }));
  }
}

function requireKnown(asked: ReadonlySet<string>, known: ReadonlySet<string>): void {
  if ([...asked].some((id) => !known.has(id)))
    throw new DomainError('not-found', 'There is no such batch or household');
}

/** What each household would get of which dish. */
function partsIn(
  { input }: InputNow,
  batches: readonly BatchOfRound[],
  result: ShareOutOutput,
): Map<string, PreviewPart> {
  const names = new Map(batches.map(({ recipeId, dish }) => [recipeId, dish]));
  const lots = new Map(input.lots.map((lot) => [lot.id, lot]));
  return new Map(
    input.households.map(({ id }): [string, PreviewPart] => {
      const dishes = new Map<string, PreviewPart['dishes'][number]>();
      for (const [lotId, count] of Object.entries(result.containers[id] ?? {})) {
        const lot = lots.get(lotId);
        if (!lot) continue;
        const before = dishes.get(lot.dish) ?? {
          recipeId: lot.dish,
          name: names.get(lot.dish) ?? '',
          containers: 0,
          portions: 0,
        };
        dishes.set(lot.dish, {
          ...before,
          containers: before.containers + count,
          portions: before.portions + count * lot.portions,
        });
      }
      return [
        id,
        {
          received: result.received[id] ?? nil,
          target: result.target[id] ?? nil,
          owedAfter: result.owedAfter[id] ?? nil,
          short: result.short[id] ?? nil,
          dishes: [...dishes.values()].sort((a, b) => (a.name < b.name ? -1 : 1)),
        },
      ];
    }),
  );
}
