import { Body, Controller, Delete, Param, Post } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { addWish, offerContainers, primitives, swapOffers, swapWish } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { OffersService } from './offers.service.ts';

@ApiTags('swaps')
@Controller('cooperatives/:cooperativeId')
export class OffersController {
  constructor(private readonly offers: OffersService) {}

  @Post('swap-offers')
  @Operation({ id: 'offerContainers', ok: swapOffers, status: 201, errors: ['household-left', 'not-swappable'] })
  offer(
    @CurrentActor() actor: Actor,
    @Body({ schema: offerContainers }) body: z.infer<typeof offerContainers>,
  ): Promise<z.infer<typeof swapOffers>> {
    return this.offers.offer(actor, body);
  }

  @Delete('swap-offers/:swapOfferId')
  @Operation({ id: 'takeBackOffer', summary: 'Holds a container out no longer' })
  async takeBack(
    @CurrentActor() actor: Actor,
    @Param('swapOfferId', { schema: primitives.id }) id: string,
    @IfMatch() version: number,
  ): Promise<void> {
    await this.offers.takeBack(actor, id, version);
  }

  @Post('swap-wishes')
  @Operation({ id: 'addWish', ok: swapWish, status: 201, errors: ['household-left', 'excluded-food'] })
  wish(
    @CurrentActor() actor: Actor,
    @Body({ schema: addWish }) body: z.infer<typeof addWish>,
  ): Promise<z.infer<typeof swapWish>> {
    return this.offers.wish(actor, body);
  }

  @Delete('swap-wishes/:swapWishId')
  @Operation({ id: 'removeWish', summary: 'Wishes for a dish no longer' })
  async removeWish(
    @CurrentActor() actor: Actor,
    @Param('swapWishId', { schema: primitives.id }) id: string,
    @IfMatch() version: number,
  ): Promise<void> {
    await this.offers.removeWish(actor, id, version);
  }
}
