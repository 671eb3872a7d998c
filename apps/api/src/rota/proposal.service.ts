import { Injectable, type OnModuleInit } from '@nestjs/common';
import { canonicalJson, invalidInput, readRota } from '@frostmoot/calc';
import type { RotaOutput, WeekToFill } from '@frostmoot/calc';
import { proposeRota } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { Jobs, type JobView } from '../platform/jobs/jobs.service.ts';
import { SharedCalc } from '../platform/solver/shared-calc.ts';
import { RotaFactsService, type RotaFacts } from './rota-facts.service.ts';
import type { RotaQuestion } from './rota-input.ts';
import { RotaTurnsRepository } from './rota-turns.repository.ts';
import { RotasRepository } from './rotas.repository.ts';
import { weekPlans } from './week-plans.ts';

type Asked = z.infer<typeof proposeRota>;
const ROTA_JOB = 'rota';
interface Prepared {
  weeks: WeekToFill[];
  question: RotaQuestion;
  facts: RotaFacts;
}

/** How long a proof may take; without one the rota is just as sound, only not shown to be the best. */
const PROOF_MILLISECONDS = 20_000;
/** The searches before end by a count, long before that. */
const SEARCH_MILLISECONDS = 120_000;
/** What has changed while it was worked out is worked out again inside the transaction, which does not wait longer. */
const AGAIN_MILLISECONDS = 20_000;

/** Works a draft of the rota out and puts it in the place of the one before. */
@Injectable()
export class ProposalService implements OnModuleInit {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly rotas: RotasRepository,
    private readonly turns: RotaTurnsRepository,
    private readonly facts: RotaFactsService,
    private readonly calc: SharedCalc,
    private readonly jobs: Jobs,
  ) {}

  onModuleInit(): void {
    this.jobs.register({
      kind: ROTA_JOB,
      run: ({ actor, input }, report, signal) => {
        report({ stage: 1, of: 2, code: 'rota-search' });
        const saving = (): void => report({ stage: 2, of: 2, code: 'rota-save' });
        return this.propose(actor, proposeRota.parse(input), signal, saving);
      },
      maySee: (actor) => actor.roles.includes('coordinator'),
    });
  }

  /** Refuses what could not be worked out before anybody waits for it, and starts the work. */
  start(actor: Actor, asked: Asked): Promise<JobView> {
    return this.unitOfWork.write(actor, async (tx) => {
      readRota((await this.prepare(tx, actor, asked)).question.input);
      return this.jobs.start(tx, actor, { kind: ROTA_JOB, subjectId: null, input: asked });
    });
  }

  /** Works it out before it locks anything, since a proof may take seconds; what has changed meanwhile is worked out without a proof. */
  private async propose(
    actor: Actor,
    asked: Asked,
    stop: AbortSignal,
    saving: () => void,
  ): Promise<{ rotaId: string }> {
    const prepared = await this.unitOfWork.read(actor, (tx) => this.prepare(tx, actor, asked));
    const { input } = prepared.question;
    const proved = await this.calc.prove('rota', input, {
      ...{ milliseconds: SEARCH_MILLISECONDS, proofMilliseconds: PROOF_MILLISECONDS, stop },
    });
    saving();
    return this.unitOfWork.write(actor, async (tx) => {
      await this.turns.lock(tx, actor);
      const { weeks, question, facts } = await this.prepare(tx, actor, asked);
      const isSame = canonicalJson(question.input) === canonicalJson(input);
      const again = { milliseconds: AGAIN_MILLISECONDS, proofMilliseconds: 0 };
      const result = isSame ? proved : await this.calc.prove('rota', question.input, again);
      await this.rotas.setAside(tx, actor);
      const rotaId = await this.rotas.add(
        tx,
        actor,
        { weeks, input: question.input, result, turns: turnsOf(result, weeks, asked) },
        facts.now,
      );
      await tell(tx, actor, 'rota');
      return { rotaId };
    });
  }

  private async prepare(tx: Tx, actor: Actor, asked: Asked): Promise<Prepared> {
    const facts = await this.facts.of(tx, actor);
    if (asked.from < facts.thisMonday) {
      throw invalidInput([{ pointer: '#/from', detail: 'Must be this week or a later one.' }]);
    }
    const ids = asked.plans.flatMap(({ recipeIds }) => recipeIds ?? []);
    const recipes = await this.rotas.recipes(tx, actor, ids);
    const households = new Set(facts.households.map(({ id }) => id));
    const faults = [
      ...asked.plans.flatMap(({ recipeIds }, plan) =>
        (recipeIds ?? []).flatMap((id, index) =>
          recipes.has(id)
            ? []
            : [{ pointer: `#/plans/${plan}/recipeIds/${index}`, detail: 'There is no such recipe.' }],
        ),
      ),
      ...asked.kept.flatMap(({ householdId }, index) =>
        households.has(householdId)
          ? []
          : [{ pointer: `#/kept/${index}/householdId`, detail: 'There is no such household.' }],
      ),
    ];
    if (faults.length > 0) throw invalidInput(faults);
    const rounds = await this.rotas.dishesOfRounds(tx, actor, facts.thisMonday, '9999-12-31');
    const weeks = weekPlans(asked, rounds, recipes);
    const filled = new Set(weeks.map(({ weekOf }) => weekOf));
    const kept = asked.kept.filter(({ weekOf }) => filled.has(weekOf));
    return { weeks, question: await this.facts.question(tx, actor, facts, weeks, kept), facts };
  }
}

/** The turns of the weeks that were to be filled; those that were asked to stay still are. */
function turnsOf({ turns }: RotaOutput, weeks: readonly WeekToFill[], { kept }: Asked) {
  const filled = new Set(weeks.map(({ weekOf }) => weekOf));
  return turns
    .filter(({ week }) => filled.has(week))
    .map(({ week, household }) => ({
      weekOf: week,
      householdId: household,
      kept: kept.some((turn) => turn.weekOf === week && turn.householdId === household),
    }));
}
