import { Injectable } from '@nestjs/common';
import {
  addDays,
  comingWeeks,
  formatDate,
  headcountWeight,
  judgeTurns,
  parseDate,
  rational,
  readRota,
} from '@frostmoot/calc';
import type { JudgedTurns, RotaLimit, WeekToFill } from '@frostmoot/calc';
import type { Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { CooperativeSettings, type Settings } from '../recipes/cooperative-settings.ts';
import { ParticipantsRepository } from '../rounds/participants.repository.ts';
import { CookingRepository } from './cooking.repository.ts';
import { reachOf, rotaQuestion, type CookingHousehold, type RotaQuestion } from './rota-input.ts';
import { RotaTurnsRepository, type TurnRow } from './rota-turns.repository.ts';
import { TurnsOfDayRepository, type HandSetTurn } from './turns-of-day.repository.ts';

/** Everything about a cooperative that its rota depends on. */
export interface RotaFacts extends Settings {
  thisMonday: string;
  /** those that are there */
  households: CookingHousehold[];
  /** of everybody, also of those who have left */
  names: ReadonlyMap<string, string>;
}

/** Turns that are there already: published ones, and cooks of cook days who were set by hand. */
export interface Present {
  published: TurnRow[];
  handSet: HandSetTurn[];
}

/** Turns of weeks, as they stand against the limits. */
export interface Judgement extends JudgedTurns, Present {}

const sundayOf = (monday: string): string => formatDate(addDays(parseDate(monday), 6));

/** Reads what a rota is worked out from. */
@Injectable()
export class RotaFactsService {
  constructor(
    private readonly settings: CooperativeSettings,
    private readonly participants: ParticipantsRepository,
    private readonly cooking: CookingRepository,
    private readonly turns: RotaTurnsRepository,
    private readonly days: TurnsOfDayRepository,
  ) {}

  async of(tx: Tx, actor: Actor): Promise<RotaFacts> {
    const settings = await this.settings.of(tx, actor);
    const { today, weights } = settings;
    const all = await this.participants.households(tx, actor);
    const cooking = new Map((await this.cooking.all(tx, actor)).map((row) => [row.id, row]));
    const balances = await this.turns.balances(tx, actor);
    const there = all.filter(({ leftOn }) => leftOn === null || leftOn > today);
    return {
      ...settings,
      thisMonday: comingWeeks(today, 1)[0] ?? today,
      names: new Map(all.map(({ id, name }) => [id, name])),
      households: there.map(({ id, name, joinedOn, leftOn, ownWeight, diners }) => {
        const row = cooking.get(id);
        const own = ownWeight === null ? rational.zero : rational.parse(ownWeight);
        return {
          id,
          name,
          joinedOn,
          leftOn,
          weight: headcountWeight(diners, weights, Number(today.slice(0, 4)), own),
          balance: balances.get(id) ?? 0n,
          potMl: row?.potMl ?? null,
          minGapWeeks: row?.minGapWeeks ?? 0,
          awayWeeks: row?.awayWeeks ?? [],
          recipeIds: row?.dishes.map((dish) => dish.id) ?? [],
        };
      }),
    };
  }

  /** The question of a rota for these weeks, with the published turns in and around them. */
  async question(
    tx: Tx,
    actor: Actor,
    { households }: RotaFacts,
    weeks: readonly WeekToFill[],
    kept: readonly { weekOf: string; householdId: string }[] = [],
  ): Promise<RotaQuestion & Present> {
    const { first, last } = reachOf(weeks, households);
    const published = await this.turns.between(tx, actor, first, last);
    const handSet = await this.days.handSet(
      tx,
      actor,
      weeks[0]?.weekOf ?? first,
      sundayOf(weeks.at(-1)?.weekOf ?? last),
    );
    return { ...rotaQuestion(weeks, households, published, handSet, kept), published, handSet };
  }

  /** What turns of these weeks do not keep. What turns around them do not keep among themselves is not theirs. */
  async judge(
    tx: Tx,
    actor: Actor,
    facts: RotaFacts,
    weeks: readonly WeekToFill[],
    turns: readonly { weekOf: string; householdId: string }[],
  ): Promise<Judgement> {
    const { published, handSet, ...question } = await this.question(tx, actor, facts, weeks);
    const input = readRota(question.input);
    const known = new Set(facts.households.map(({ id }) => id));
    const inside = turns.filter(({ householdId }) => known.has(householdId));
    const judged = judgeTurns(input, [
      ...question.around,
      ...inside.map(({ weekOf, householdId }) => ({ week: weekOf, household: householdId })),
    ]);
    const filled = new Set(weeks.map(({ weekOf }) => weekOf));
    const before = new Set(judgeTurns(input, question.around).broken.map((limit) => JSON.stringify(limit)));
    const isTheirs = (limit: RotaLimit): boolean => filled.has(limit.week) || !before.has(JSON.stringify(limit));
    return { ...judged, broken: judged.broken.filter(isTheirs), published, handSet };
  }
}
