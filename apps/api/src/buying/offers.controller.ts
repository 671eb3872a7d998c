import { Body, Controller, Get, Param, Patch, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { changeSeller, offer, offers, primitives, saveOffer, saveSeller, seller, sellers } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { Allow, CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { OffersService } from './offers.service.ts';

@ApiTags('buying')
@Controller('cooperatives/:cooperativeId')
export class OffersController {
  constructor(private readonly service: OffersService) {}

  @Get('sellers')
  @Operation({ id: 'listSellers', summary: 'Sellers by name', ok: sellers })
  sellers(@CurrentActor() actor: Actor): Promise<z.infer<typeof sellers>> {
    return this.service.sellers(actor);
  }

  @Post('sellers')
  @Operation({ id: 'createSeller', summary: 'Add a seller', ok: seller, status: 201, errors: ['conflict'] })
  addSeller(
    @CurrentActor() actor: Actor,
    @Body({ schema: saveSeller }) body: z.infer<typeof saveSeller>,
  ): Promise<z.infer<typeof seller>> {
    return this.service.addSeller(actor, body);
  }

  @Patch('sellers/:sellerId')
  @Allow('buyer')
  @Operation({
    id: 'changeSeller',
    summary: 'What a seller asks from now on; rounds that are bought keep what it asked',
    ok: seller,
    errors: ['conflict'],
  })
  changeSeller(
    @CurrentActor() actor: Actor,
    @Param('sellerId', { schema: primitives.id }) sellerId: string,
    @IfMatch() version: number,
    @Body({ schema: changeSeller }) body: z.infer<typeof changeSeller>,
  ): Promise<z.infer<typeof seller>> {
    return this.service.changeSeller(actor, sellerId, version, body);
  }

  @Get('offers')
  @Operation({ id: 'listOffers', summary: 'Prices by ingredient, the latest first', ok: offers })
  offers(
    @CurrentActor() actor: Actor,
    @Query('ingredientId', { schema: primitives.id.optional() }) ingredientId?: string,
  ): Promise<z.infer<typeof offers>> {
    return this.service.offers(actor, ingredientId);
  }

  @Post('offers')
  @Operation({
    id: 'createOffer',
    summary: 'Write down a price; an earlier one for the same pack ends the day before',
    ok: offer,
    status: 201,
    errors: ['unknown-unit', 'units-incompatible', 'density-missing'],
  })
  addOffer(
    @CurrentActor() actor: Actor,
    @Body({ schema: saveOffer }) body: z.infer<typeof saveOffer>,
  ): Promise<z.infer<typeof offer>> {
    return this.service.addOffer(actor, body);
  }
}
