import { Body, Controller, Get, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import {
  accounts,
  book,
  entryResult,
  portionRounds,
  primitives,
  recordPayment,
  reverseEntry,
  statement,
} from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { Operation } from '../platform/http/operation.ts';
import { AccountsService } from './accounts.service.ts';
import type { AccountsView } from './accounts.view.ts';
import type { StatementView } from './statement.view.ts';

const anId = { schema: primitives.id };

@ApiTags('accounts')
@Controller('cooperatives/:cooperativeId')
export class AccountsController {
  constructor(private readonly accounts: AccountsService) {}

  @Get('accounts')
  @Operation({ id: 'getAccounts', ok: accounts })
  all(@CurrentActor() actor: Actor): Promise<AccountsView> {
    return this.accounts.all(actor);
  }

  @Get('accounts/:householdId/statement')
  @Operation({ id: 'getStatement', ok: statement })
  statement(
    @CurrentActor() actor: Actor,
    @Param('householdId', anId) householdId: string,
    @Query('book', { schema: book }) which: z.infer<typeof book>,
  ): Promise<StatementView> {
    return this.accounts.statement(actor, householdId, which);
  }

  @Get('accounts/:householdId/portions')
  @Operation({ id: 'getPortionRounds', ok: portionRounds })
  portions(
    @CurrentActor() actor: Actor,
    @Param('householdId', anId) householdId: string,
  ): Promise<z.infer<typeof portionRounds>> {
    return this.accounts.portions(actor, householdId);
  }

  @Post('payments')
  @Operation({ id: 'recordPayment', ok: entryResult, status: 201, errors: ['participant-missing'] })
  pay(
    @CurrentActor() actor: Actor,
    @Body({ schema: recordPayment }) payment: z.infer<typeof recordPayment>,
  ): Promise<z.infer<typeof entryResult>> {
    return this.accounts.pay(actor, payment);
  }

  @Post('entries/:entryId/reversal')
  @Operation({ id: 'reverseEntry', ok: entryResult, status: 201, errors: ['already-confirmed', 'conflict'] })
  reverse(
    @CurrentActor() actor: Actor,
    @Param('entryId', anId) entryId: string,
    @Body({ schema: reverseEntry }) { reason }: z.infer<typeof reverseEntry>,
  ): Promise<z.infer<typeof entryResult>> {
    return this.accounts.reverse(actor, entryId, reason);
  }
}
