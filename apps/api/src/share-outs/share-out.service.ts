import { Injectable } from '@nestjs/common';
import {
  assignContainers,
  canonicalJson,
  borneByHeadcount,
  commonBorne,
  DomainError,
  microPerPortion,
  rational,
  requireStage,
  sharedOut,
} from '@frostmoot/calc';
import type { Facts, Rational, RoundShareOutInput, ShareOutOutput } from '@frostmoot/calc';
import { LedgerRepository } from '../accounts/ledger.repository.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { SharedCalc } from '../platform/solver/shared-calc.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import { ContainerRepository } from '../stock/container.repository.ts';
import { confirmationFacts } from './confirmation-facts.ts';
import { ClaimTermsRepository } from './claim-terms.repository.ts';
import { CorrectionsRepository } from './corrections.repository.ts';
import { ShareOutRepository } from './share-out.repository.ts';
import type { KeptShareOut, RoundHead } from './share-out.repository.ts';
import { shareOutView } from './share-out.view.ts';
import type { ShareOutView } from './share-out.view.ts';
import { SharingFactsRepository } from './sharing-facts.repository.ts';
import { SharingInput } from './sharing-input.ts';
import { WaitingRepository } from './waiting.repository.ts';
import { WaitingService } from './waiting.service.ts';

/** How long a coordinator waits for a proof; without one the division is just as sound, only not shown to be the best. */
const PROOF_MILLISECONDS = 5000;
/** The division before the proof ends by itself, in a second with thirty households. */
const DIVISION_MILLISECONDS = 120_000;
/** Inside a transaction nothing is waited for longer. */
const AGAIN_MILLISECONDS = 20_000;

/** How long a share-out is searched for, and who is told how far it is. */
interface Search {
  proofMilliseconds: number;
  stop?: AbortSignal;
  onFirst?: (first: ShareOutOutput) => void;
  onStage?: (stage: string, first: ShareOutOutput) => void;
  onProved?: (result: ShareOutOutput) => void;
}

/** Shares out a round: a proposal that can be worked out again, until a coordinator confirms it. */
@Injectable()
export class ShareOutService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly shareOuts: ShareOutRepository,
    private readonly containers: ContainerRepository,
    private readonly ledger: LedgerRepository,
    private readonly clock: Clock,
    private readonly calc: SharedCalc,
    private readonly facts: SharingFactsRepository,
    private readonly inputs: SharingInput,
    private readonly terms: ClaimTermsRepository,
    private readonly waitings: WaitingRepository,
    private readonly waiting: WaitingService,
    private readonly corrections: CorrectionsRepository,
  ) {}

  async view(actor: Actor, roundId: string): Promise<ShareOutView> {
    await this.waiting.passOnIfDue(actor);
    return this.unitOfWork.read(actor, (tx) => this.viewIn(tx, actor, roundId));
  }

  /** The view inside a transaction, after what it changed. */
  async viewIn(tx: Tx, actor: Actor, roundId: string): Promise<ShareOutView> {
    const round = await this.existingRound(tx, actor, roundId);
    const kept = await this.shareOuts.current(tx, actor, roundId);
    const { now } = await dayOf(tx, actor, this.clock);
    const confirmedBy = kept?.confirmedBy ? await this.shareOuts.nameOfPerson(tx, kept.confirmedBy) : null;
    return shareOutView(
      {
        round,
        kept,
        containers: await this.containers.ofRound(tx, actor, roundId, now),
        pool: await this.containers.pool(tx, actor, now),
        participants: await this.facts.participants(tx, actor, roundId),
        fairness: await this.shareOuts.owedAfterRounds(tx, actor, round.number),
        batchesOpen: await this.shareOuts.batchesOpen(tx, actor, roundId),
        ...(await this.terms.policy(tx, actor)),
        window: await this.terms.window(tx, actor, roundId),
        earlyClaims: await this.terms.earlyClaims(tx, actor, roundId),
        waiting: await this.waitings.all(tx, actor),
        corrections: kept ? await this.corrections.ofShareOut(tx, actor, kept.id) : [],
        confirmedBy,
      },
      actor,
    );
  }

  /** In the request, with as much of a proof as a few seconds give. */
  propose(actor: Actor, roundId: string): Promise<ShareOutView> {
    return this.workOut(actor, roundId, rational.zero, { proofMilliseconds: PROOF_MILLISECONDS });
  }

  /** Works the share-out out before it locks anything, since a proof takes its time; what has changed meanwhile is worked out without a proof. */
  async workOut(actor: Actor, roundId: string, window: Rational, search: Search): Promise<ShareOutView> {
    const prepared = await this.prepare(actor, roundId, window, search);
    return this.unitOfWork.write(actor, async (tx) => {
      await this.shareOuts.lockRound(tx, actor, roundId);
      await this.requireOpen(tx, actor, roundId);
      const { input, containers } = await this.inputs.now(tx, actor, roundId, window);
      const isSame = prepared && canonicalJson(prepared.input) === canonicalJson(input);
      const again = { milliseconds: AGAIN_MILLISECONDS, proofMilliseconds: 0 };
      const result = isSame ? prepared.result : await this.calc.prove('share-out', input, again);
      const assigned = assignContainers(result.containers, containers);
      await this.shareOuts.propose(tx, actor, { roundId, input, result, assigned, proof: result.proof });
      await tell(tx, actor, 'share-outs', roundId);
      return this.viewIn(tx, actor, roundId);
    });
  }

  /** Refuses unless the round is at its share-out and not confirmed yet. */
  async requireOpen(tx: Tx, actor: Actor, roundId: string): Promise<void> {
    const round = await this.existingRound(tx, actor, roundId);
    requireStage(round.stage, ['sharing'], 'Sharing out');
    refuseConfirmed(await this.shareOuts.confirmed(tx, actor, roundId));
  }

  /** The input as it is now and its proved result; undefined when it is refused, which the write then says in order with all else that it refuses. */
  private async prepare(
    actor: Actor,
    roundId: string,
    window: Rational,
    { proofMilliseconds, stop, onFirst, onStage, onProved }: Search,
  ): Promise<{ input: RoundShareOutInput; result: ShareOutOutput } | undefined> {
    try {
      const { input } = await this.unitOfWork.read(actor, async (tx) => {
        await this.requireOpen(tx, actor, roundId);
        return this.inputs.now(tx, actor, roundId, window);
      });
      let begun: ShareOutOutput | undefined;
      const result = await this.calc.prove('share-out', input, {
        ...{ milliseconds: DIVISION_MILLISECONDS + proofMilliseconds, proofMilliseconds },
        onFirst: (first) => {
          begun = first;
          onFirst?.(first);
        },
        onStage: (stage) => begun && onStage?.(stage, begun),
        ...(stop ? { stop } : {}),
      });
      onProved?.(result);
      return { input, result };
    } catch (error) {
      if (error instanceof DomainError) return undefined;
      throw error;
    }
  }

  confirm(actor: Actor, shareOutId: string, version: number): Promise<ShareOutView> {
    return this.unitOfWork.write(actor, async (tx) => {
      const seen = await this.shareOuts.find(tx, actor, shareOutId);
      if (!seen) throw new DomainError('not-found', 'There is no such share-out');
      await this.shareOuts.lockRound(tx, actor, seen.roundId);
      const kept = (await this.shareOuts.lock(tx, actor, shareOutId)) as KeptShareOut;
      refuseConfirmed(kept);
      requireVersion(kept.version, version);
      if (kept.state === 'superseded') throw new DomainError('conflict', 'It has been worked out again since');
      const round = await this.existingRound(tx, actor, kept.roundId);
      requireStage(round.stage, ['sharing'], 'Sharing out');
      await this.requireAllBatches(tx, actor, round);
      await this.write(tx, actor, round, kept);
      return this.viewIn(tx, actor, kept.roundId);
    });
  }

  /** What a verifier needs: the input, the result, and which very containers. */
  proof(actor: Actor, shareOutId: string): Promise<KeptShareOut> {
    return this.unitOfWork.read(actor, async (tx) => {
      const kept = await this.shareOuts.find(tx, actor, shareOutId);
      if (!kept) throw new DomainError('not-found', 'There is no such share-out');
      return kept;
    });
  }

  /** Locks accounts and containers, checks that nothing has changed since the proposal, and moves everything at once. */
  private async write(tx: Tx, actor: Actor, round: RoundHead, kept: KeptShareOut): Promise<void> {
    const { now, today } = await dayOf(tx, actor, this.clock);
    const households = kept.input.households.map(({ id }) => id);
    await this.ledger.lockAccounts(tx, actor, [
      { book: 'portions', account: { kind: 'common' } },
      ...households.map((householdId) => ({
        book: 'portions' as const,
        account: { kind: 'household' as const, householdId },
      })),
    ]);
    const before = await this.facts.commonContainers(tx, actor, round.id);
    await this.containers.lock(
      tx,
      actor,
      before.map(({ id }) => id),
      now,
    );
    const window = kept.input.varietyWindow === undefined ? undefined : rational.parse(kept.input.varietyWindow);
    const { input, containers } = await this.inputs.now(tx, actor, round.id, window);
    const assigned = assignContainers(kept.result.containers, containers);
    if (
      canonicalJson(input) !== canonicalJson(kept.input) ||
      canonicalJson(assigned) !== canonicalJson(kept.assigned)
    ) {
      throw new DomainError('conflict', 'Containers, households or balances have changed since; work it out again');
    }
    await this.requireVerified(kept.input, kept.result);

    const claimedBefore = new Set(containers.flatMap(({ id, claimedBy }) => (claimedBy ? [id] : [])));
    await this.terms.endEarlyClaims(
      tx,
      actor,
      containers.map(({ id }) => id),
    );
    for (const [householdId, ids] of Object.entries(assigned)) {
      if ((await this.shareOuts.setAside(tx, actor, householdId, ids, claimedBefore)) !== ids.length) {
        throw new DomainError('conflict', 'A container has gone since; work it out again');
      }
    }
    await this.shareOuts.confirm(tx, actor, kept.id, now);
    const portions = (record: Record<string, string>) =>
      new Map(households.map((id) => [id, rational.parse(record[id] ?? '0')]));
    const about = { documentId: kept.id, roundId: round.id, occurredOn: today };
    const commonMicro = await this.facts.commonBalance(tx, actor);
    const facts: Facts = {
      round: round.number,
      commonPortions: rational.format(rational.rational(commonMicro, microPerPortion)),
    };
    const borne = commonBorne(borneByHeadcount(kept.input.seed, kept.input.households, commonMicro), facts);
    if (borne) {
      const reason = `What lay with the common freezer before round ${round.number}, by headcount`;
      await this.ledger.post(tx, actor, { ...borne, reason, facts, ...about });
    }
    await this.ledger.post(tx, actor, {
      ...sharedOut({
        entitlement: portions(kept.result.entitlement),
        received: portions(kept.result.received),
        seed: kept.input.seed,
        facts: confirmationFacts(round.number, kept),
      }),
      reason: `Share-out of round ${round.number}`,
      facts: { round: round.number },
      ...about,
    });
    await this.waiting.passOnIn(tx, actor);
    for (const topic of ['share-outs', 'rounds'] as const) await tell(tx, actor, topic, round.id);
    for (const topic of ['stock', 'accounts'] as const) await tell(tx, actor, topic);
  }

  /** Nothing is booked that the verifier, which divides nothing itself, does not agree with. */
  private async requireVerified(input: RoundShareOutInput, result: ShareOutOutput): Promise<void> {
    const violations = await this.calc.run('verify-share-out', { input, result }, { milliseconds: AGAIN_MILLISECONDS });
    if (violations.length > 0) throw new Error(`A share-out does not verify: ${canonicalJson(violations)}`);
  }

  private async existingRound(tx: Tx, actor: Actor, roundId: string): Promise<RoundHead> {
    const round = await this.shareOuts.round(tx, actor, roundId);
    if (!round) throw new DomainError('not-found', 'There is no such round');
    return round;
  }

  private async requireAllBatches(tx: Tx, actor: Actor, round: RoundHead): Promise<void> {
    const batches = await this.shareOuts.batchesOpen(tx, actor, round.id);
    if (batches > 0) {
      const sentence = 'What came out of every batch must be entered before the share-out is confirmed';
      throw new DomainError('round-not-ready', sentence, { params: { batches } });
    }
  }
}

function refuseConfirmed(kept: KeptShareOut | null): void {
  if (kept?.state === 'confirmed') throw new DomainError('already-confirmed', 'This round has been shared out already');
}
