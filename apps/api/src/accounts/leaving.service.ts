import { Injectable } from '@nestjs/common';
import { boughtOut, DomainError, householdBalances, rational } from '@frostmoot/calc';
import type { BoughtOut } from '@frostmoot/calc';
import type { leaving, settleLeaving } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import { fromDate } from '../platform/db/dates.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import { WaitingService } from '../share-outs/waiting.service.ts';
import type { NewEntry } from './ledger.repository.ts';
import { LedgerRepository } from './ledger.repository.ts';
import { LeavingRepository } from './leaving.repository.ts';
import type { RoundCost } from './leaving.repository.ts';

export type LeavingView = z.infer<typeof leaving>;
interface Settled {
  view: LeavingView;
  cost: RoundCost | null;
  drafts: BoughtOut | null;
}

/** A household leaves: what it would leave behind, and the one act that books it and lets it go. */
@Injectable()
export class LeavingService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly leaving: LeavingRepository,
    private readonly ledger: LedgerRepository,
    private readonly waiting: WaitingService,
    private readonly clock: Clock,
  ) {}

  preview(actor: Actor, householdId: string): Promise<LeavingView> {
    return this.unitOfWork.read(actor, async (tx) => (await this.reckon(tx, actor, householdId)).view);
  }

  settle(
    actor: Actor,
    householdId: string,
    version: number,
    shown: z.infer<typeof settleLeaving>,
  ): Promise<LeavingView> {
    return this.unitOfWork.write(actor, async (tx) => {
      await this.leaving.lock(tx, actor, householdId);
      await this.lockBooks(tx, actor, householdId);
      const { view, cost, drafts } = await this.reckon(tx, actor, householdId);
      if (view.leftOn !== null) throw new DomainError('already-confirmed', 'This household has left already');
      requireVersion(view.version, version);
      refuseBlocked(view);
      if (view.portionsMicro !== shown.portionsMicro || view.moneyMinor !== shown.moneyMinor) {
        throw new DomainError('conflict', 'The figures have changed since they were shown; look at them again');
      }
      const { today, now } = await dayOf(tx, actor, this.clock);
      if (drafts) await this.ledger.postAll(tx, actor, entriesOf(view, cost, drafts, today));
      await this.leaving.leave(tx, actor, householdId, today, now);
      // What was kept for it goes to the next in line.
      await this.waiting.passOnIn(tx, actor);
      for (const topic of ['share-outs', 'swaps'] as const) await tell(tx, actor, topic);
      await tell(tx, actor, 'households', householdId);
      await tell(tx, actor, 'accounts');
      return (await this.reckon(tx, actor, householdId)).view;
    });
  }

  /** Every account that either entry may touch, so that nothing is shared out or swapped between the reckoning and the entry. */
  private async lockBooks(tx: Tx, actor: Actor, householdId: string): Promise<void> {
    const staying = await this.leaving.stayingWeights(tx, actor, householdId);
    const accounts = [householdId, ...staying.map(({ id }) => id)].flatMap((id) =>
      (['money', 'portions'] as const).map((book) => ({
        book,
        account: { kind: 'household' as const, householdId: id },
      })),
    );
    if (await this.leaving.household(tx, actor, householdId)) await this.ledger.lockAccounts(tx, actor, accounts);
  }

  private async reckon(tx: Tx, actor: Actor, householdId: string): Promise<Settled> {
    const household = await this.leaving.household(tx, actor, householdId);
    if (!household) throw new DomainError('not-found', 'There is no such household');
    const { now, today } = await dayOf(tx, actor, this.clock);
    const micro = await this.leaving.balance(tx, actor, householdId);
    const staying = await this.leaving.stayingWeights(tx, actor, householdId);
    const cost = await this.leaving.lastCost(tx, actor);
    const blockedBy: LeavingView['blockedBy'] = [];
    if (await this.leaving.takesPart(tx, actor, householdId, today)) blockedBy.push('round');
    if (await this.leaving.swapsWaiting(tx, actor, householdId, now)) blockedBy.push('swap');
    if (micro !== 0n && !cost) blockedBy.push('no-cost');
    if (micro !== 0n && staying.length === 0) blockedBy.push('nobody-stays');
    const costPerPortionMinor = cost && rational.rational(cost.spentMinor, cost.portions);
    const drafts =
      micro === 0n || !costPerPortionMinor || staying.length === 0
        ? null
        : boughtOut({
            householdId,
            micro,
            costPerPortionMinor,
            staying: new Map(staying.map(({ id, weight }) => [id, rational.parse(weight)])),
            seed: householdId,
          });
    const portions = drafts ? householdBalances([drafts.portions], 'portions') : new Map<string, bigint>();
    const money = drafts?.money ? householdBalances([drafts.money], 'money') : new Map<string, bigint>();
    const view: LeavingView = {
      household: { id: household.id, name: household.name },
      leftOn: household.leftOn && fromDate(household.leftOn),
      portionsMicro: micro.toString(),
      roundNumber: cost?.number ?? null,
      costPerPortionMinor: costPerPortionMinor && rational.format(costPerPortionMinor),
      moneyMinor: money.get(householdId)?.toString() ?? null,
      takenOver: drafts
        ? staying.map(({ id, name }) => ({
            household: { id, name },
            portionsMicro: (portions.get(id) ?? 0n).toString(),
            moneyMinor: (money.get(id) ?? 0n).toString(),
          }))
        : [],
      blockedBy: household.leftOn ? [] : blockedBy,
      version: household.version,
    };
    return { view, cost, drafts };
  }
}

function refuseBlocked({ blockedBy }: LeavingView): void {
  if (blockedBy.length === 0) return;
  throw new DomainError('round-not-ready', 'Something must be done before this household can leave', {
    params: { blockedBy: blockedBy.join(' ') },
  });
}

/** Both entries name the leaver, the round whose cost counts, and what a portion cost. */
function entriesOf(view: LeavingView, cost: RoundCost | null, drafts: BoughtOut, today: string): NewEntry[] {
  const facts = {
    leaver: view.household.name,
    leaverPortionsMicro: view.portionsMicro,
    costPerPortionMinor: view.costPerPortionMinor ?? '',
    round: view.roundNumber ?? 0,
  };
  const common = {
    reason: `${view.household.name} left; portions settled at the cost of round ${view.roundNumber ?? ''}`,
    facts,
    documentId: view.household.id,
    roundId: cost?.id ?? null,
    occurredOn: today,
  };
  return [drafts.portions, ...(drafts.money ? [drafts.money] : [])].map((draft) => ({ ...draft, ...common }));
}
