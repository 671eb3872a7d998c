import { Injectable } from '@nestjs/common';
import { checkRoundDates, invalidInput, mondayOf, requireStage, requireStaying } from '@frostmoot/calc';
import type { createRound, roundList, saveCookDay, saveDishes } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import { CooperativeSettings } from '../recipes/cooperative-settings.ts';
import { RecipeGraphRepository } from '../recipes/recipe-graph.repository.ts';
import { RecipesRepository } from '../recipes/recipes.repository.ts';
import { RotaTurnsRepository } from '../rota/rota-turns.repository.ts';
import { TurnsOfDayRepository } from '../rota/turns-of-day.repository.ts';
import { CookDaysRepository } from './cook-days.repository.ts';
import { DishesRepository } from './dishes.repository.ts';
import { ParticipationService } from './participation.service.ts';
import { ParticipantsRepository } from './participants.repository.ts';
import type { RoundAnswer } from './round-reader.ts';
import { RoundReader, summaryOf } from './round-reader.ts';
import type { RoundRow } from './rounds.repository.ts';
import { RoundsRepository } from './rounds.repository.ts';

@Injectable()
export class RoundsService {
  constructor(
    private readonly work: UnitOfWork,
    private readonly rounds: RoundsRepository,
    private readonly dishes: DishesRepository,
    private readonly cookDays: CookDaysRepository,
    private readonly participants: ParticipantsRepository,
    private readonly participation: ParticipationService,
    private readonly recipes: RecipesRepository,
    private readonly graphs: RecipeGraphRepository,
    private readonly reader: RoundReader,
    private readonly rota: RotaTurnsRepository,
    private readonly turnsOfDay: TurnsOfDayRepository,
    private readonly settings: CooperativeSettings,
  ) {}

  list(actor: Actor): Promise<z.infer<typeof roundList>> {
    return this.work.read(actor, async (tx) => {
      const portions = await this.dishes.portionsByRound(tx, actor);
      const rows = await this.rounds.list(tx, actor);
      return {
        items: rows.map((row) => {
          const { planned, made } = portions.get(row.id) ?? { planned: 0, made: null };
          return summaryOf(row, planned, made);
        }),
      };
    });
  }

  find(actor: Actor, roundId: string): Promise<RoundAnswer> {
    return this.work.read(actor, (tx) => this.reader.answer(tx, actor, roundId));
  }

  create(actor: Actor, typed: z.infer<typeof createRound>): Promise<RoundAnswer> {
    const { kitchenHouseholdId, startsAt, cookHouseholdIds, ...fields } = typed;
    checkRoundDates(fields);
    if (kitchenHouseholdId === null && cookHouseholdIds.length > 0) {
      throw invalidInput([{ pointer: '#/kitchenHouseholdId', detail: 'Say in whose kitchen they cook.' }]);
    }
    return this.work.write(actor, async (tx) => {
      await this.rota.lock(tx, actor);
      const round = await this.rounds.create(tx, actor, fields);
      await this.participation.start(tx, actor, round);
      const kitchen = kitchenHouseholdId ?? (await this.cookOfWeek(tx, actor, round.cookOn));
      if (kitchen !== null) {
        const day = { date: round.cookOn, startsAt, kitchenHouseholdId: kitchen, householdIds: cookHouseholdIds };
        await this.saveDay(tx, actor, round, day, '#/cookHouseholdIds');
      }
      return this.changed(tx, actor, round.id);
    });
  }

  saveDishes(
    actor: Actor,
    roundId: string,
    version: number,
    { dishes }: z.infer<typeof saveDishes>,
  ): Promise<RoundAnswer> {
    return this.work.write(actor, async (tx) => {
      const round = await this.rounds.lock(tx, actor, roundId);
      requireStage(round.stage, ['planning'], 'Choosing dishes');
      requireVersion(round.version, version);
      const wanted = await this.withVersions(tx, actor, dishes);
      await this.dishes.replace(tx, actor, roundId, wanted);
      await this.rounds.bump(tx, actor, roundId);
      return this.changed(tx, actor, roundId);
    });
  }

  saveCookDay(actor: Actor, roundId: string, day: z.infer<typeof saveCookDay>): Promise<RoundAnswer> {
    return this.work.write(actor, async (tx) => {
      await this.rota.lock(tx, actor);
      const round = await this.rounds.lock(tx, actor, roundId);
      requireStage(round.stage, ['planning', 'buying', 'cooking'], 'A cook day');
      await this.saveDay(tx, actor, round, day, '#/householdIds');
      await this.rounds.bump(tx, actor, roundId);
      return this.changed(tx, actor, roundId);
    });
  }

  /** Each dish with its recipe's newest version; faults point to the dish. */
  private async withVersions(
    tx: Tx,
    actor: Actor,
    dishes: z.infer<typeof saveDishes>['dishes'],
  ): Promise<{ recipeId: string; versionId: string; batches: number }[]> {
    const ids = dishes.map(({ recipeId }) => recipeId);
    const current = await this.recipes.currentVersions(tx, actor, ids);
    const { versions } = await this.graphs.load(tx, actor, [...current.values()]);
    const faults = dishes.flatMap(({ recipeId }, index) => {
      const pointer = `#/dishes/${index}/recipeId`;
      const version = versions.get(current.get(recipeId) ?? '');
      if (!version) return [{ pointer, detail: 'There is no such recipe.' }];
      if (version.portions === null) {
        return [{ pointer, detail: `${version.recipe.name} is only ever a component and gives no portions.` }];
      }
      return ids.indexOf(recipeId) < index ? [{ pointer, detail: `${version.recipe.name} is there twice.` }] : [];
    });
    if (faults.length > 0) throw invalidInput(faults);
    return dishes.map(({ recipeId, batches }) => ({ recipeId, batches, versionId: current.get(recipeId) ?? '' }));
  }

  private async saveDay(
    tx: Tx,
    actor: Actor,
    round: RoundRow,
    day: z.infer<typeof saveCookDay>,
    cooksPointer: string,
  ): Promise<void> {
    const households = await this.participants.households(tx, actor);
    const known = new Map(households.map((household) => [household.id, household]));
    const faults = day.householdIds.flatMap((id, index) =>
      known.has(id) ? [] : [{ pointer: `${cooksPointer}/${index}`, detail: 'There is no such household.' }],
    );
    if (!known.has(day.kitchenHouseholdId)) {
      faults.push({ pointer: '#/kitchenHouseholdId', detail: 'There is no such household.' });
    }
    if (day.date < round.planUntil || day.date > round.settleOn) {
      const detail = `Must be within the round, ${round.planUntil} to ${round.settleOn}.`;
      faults.push({ pointer: '#/date', detail });
    }
    if (faults.length > 0) throw invalidInput(faults);
    const { today } = await this.settings.of(tx, actor);
    for (const [id, pointer] of [
      [day.kitchenHouseholdId, '#/kitchenHouseholdId'],
      ...day.householdIds.map((id, index) => [id, `${cooksPointer}/${index}`] as const),
    ] as const) {
      const household = known.get(id);
      if (household) requireStaying(household, today, pointer);
    }
    await this.refuseLeftOut(tx, actor, round, day, cooksPointer);
    const id = await this.cookDays.save(tx, actor, round.id, { ...day, householdIds: [...new Set(day.householdIds)] });
    await this.turnsOfDay.take(tx, actor, mondayOf(day.date), id);
  }

  /** In whose kitchen a round is cooked for which nobody said so: the first of the rota's cooks of that week that are there. */
  private async cookOfWeek(tx: Tx, actor: Actor, date: string): Promise<string | null> {
    const turns = await this.rota.between(tx, actor, mondayOf(date), mondayOf(date));
    const cooks = turns.flatMap(({ household, cookDayId }) => (household && cookDayId === null ? [household.id] : []));
    const { today } = await this.settings.of(tx, actor);
    const known = cooks.length === 0 ? [] : await this.participants.households(tx, actor, cooks);
    const there = new Set(known.flatMap(({ id, leftOn }) => (leftOn === null || leftOn > today ? [id] : [])));
    return cooks.find((id) => there.has(id)) ?? null;
  }

  /** A published turn is given up or taken over on the rota, where the turns book learns of it. */
  private async refuseLeftOut(
    tx: Tx,
    actor: Actor,
    round: RoundRow,
    day: z.infer<typeof saveCookDay>,
    cooksPointer: string,
  ): Promise<void> {
    const present = (await this.cookDays.ofRound(tx, actor, round.id)).find(({ date }) => date === day.date);
    if (!present) return;
    const holders = await this.turnsOfDay.holders(tx, actor, present.id);
    const out = holders.filter(({ id }) => !day.householdIds.includes(id));
    if (out.length === 0) return;
    throw invalidInput(
      out.map(({ name }) => ({
        pointer: cooksPointer,
        detail: `${name} has a published turn in this week: have another household take it over on the rota.`,
        code: 'published-turn',
        params: { household: name },
      })),
    );
  }

  private async changed(tx: Tx, actor: Actor, roundId: string): Promise<RoundAnswer> {
    await tell(tx, actor, 'rounds', roundId);
    return this.reader.answer(tx, actor, roundId);
  }
}
