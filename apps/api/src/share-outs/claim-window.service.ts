import { Injectable } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import type { Actor } from '../platform/auth/actor.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { ClaimTermsRepository } from './claim-terms.repository.ts';
import { ShareOutRepository } from './share-out.repository.ts';
import { ShareOutService } from './share-out.service.ts';
import type { ShareOutView } from './share-out.view.ts';
import { WaitingService } from './waiting.service.ts';

/** When the containers of a round may be claimed. */
@Injectable()
export class ClaimWindowService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly shareOuts: ShareOutRepository,
    private readonly terms: ClaimTermsRepository,
    private readonly waiting: WaitingService,
    private readonly sharing: ShareOutService,
  ) {}

  set(actor: Actor, roundId: string, window: ShareOutView['window']): Promise<ShareOutView> {
    if (window !== null && new Date(window.opensAt) >= new Date(window.closesAt)) {
      const errors = [{ pointer: '#/window/closesAt', detail: 'Must be after they open.' }];
      throw new DomainError('invalid-input', 'Some of the input cannot be used', { errors });
    }
    return this.unitOfWork.write(actor, async (tx) => {
      const round = await this.shareOuts.round(tx, actor, roundId);
      if (!round) throw new DomainError('not-found', 'There is no such round');
      await this.terms.setWindow(tx, actor, roundId, window);
      await this.waiting.passOnIn(tx, actor);
      await tell(tx, actor, 'share-outs', roundId);
      return this.sharing.viewIn(tx, actor, roundId);
    });
  }
}
