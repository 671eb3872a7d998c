import { Body, Controller, Get, Param, Patch, Post } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import {
  buying,
  correctReceiptLine,
  createReceipt,
  primitives,
  purchase,
  receipt,
  tickPurchase,
} from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { Allow, CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { BuyingService } from './buying.service.ts';
import { CorrectionsService } from './corrections.service.ts';
import { ReceiptsService } from './receipts.service.ts';

const anId = { schema: primitives.id };

@ApiTags('buying')
@Controller('cooperatives/:cooperativeId')
export class BuyingController {
  constructor(
    private readonly buying: BuyingService,
    private readonly receipts: ReceiptsService,
    private readonly corrections: CorrectionsService,
  ) {}

  @Get('rounds/:roundId/buying')
  @Operation({ id: 'getBuying', summary: 'Lists of what to buy for a round, and its receipts', ok: buying })
  find(@CurrentActor() actor: Actor, @Param('roundId', anId) roundId: string): Promise<z.infer<typeof buying>> {
    return this.buying.find(actor, roundId);
  }

  @Patch('purchases/:purchaseId')
  @Allow('buyer')
  @Operation({ id: 'tickPurchase', summary: 'Tick off a line, or take it back', ok: purchase, errors: ['round-stage'] })
  tick(
    @CurrentActor() actor: Actor,
    @Param('purchaseId', anId) purchaseId: string,
    @IfMatch() version: number,
    @Body({ schema: tickPurchase }) { bought }: z.infer<typeof tickPurchase>,
  ): Promise<z.infer<typeof purchase>> {
    return this.buying.tick(actor, purchaseId, version, bought);
  }

  @Post('rounds/:roundId/receipts')
  @Operation({
    id: 'createReceipt',
    summary: 'Write down what was really paid; it is split and booked at once',
    ok: receipt,
    status: 201,
    errors: ['round-stage', 'participant-missing', 'unknown-unit', 'units-incompatible', 'density-missing'],
  })
  createReceipt(
    @CurrentActor() actor: Actor,
    @Param('roundId', anId) roundId: string,
    @Body({ schema: createReceipt }) body: z.infer<typeof createReceipt>,
  ): Promise<z.infer<typeof receipt>> {
    return this.receipts.create(actor, roundId, body);
  }

  @Post('rounds/:roundId/receipt-corrections')
  @Allow('buyer')
  @Operation({
    id: 'correctReceiptLine',
    summary: 'Give a line back, or book a difference; the line itself stays',
    ok: receipt,
    status: 201,
    errors: ['round-stage', 'conflict'],
  })
  correct(
    @CurrentActor() actor: Actor,
    @Param('roundId', anId) roundId: string,
    @Body({ schema: correctReceiptLine }) body: z.infer<typeof correctReceiptLine>,
  ): Promise<z.infer<typeof receipt>> {
    return this.corrections.correct(actor, roundId, body);
  }
}
