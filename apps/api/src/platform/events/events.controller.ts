import { Controller, Get, Headers, Param, Query, Req, Res } from '@nestjs/common';
import { ApiHeader, ApiProduces } from '@nestjs/swagger';
import { eventPlace, liveEvent, primitives } from '@frostmoot/contract';
import type { FastifyReply } from 'fastify';
import type { Actor, SignedIn } from '../auth/actor.ts';
import { CurrentActor, CurrentPerson, type IdentifiedRequest } from '../auth/decorators.ts';
import { Operation } from '../http/operation.ts';
import { EventsService } from './events.service.ts';

@Controller('cooperatives/:cooperativeId/events')
export class EventsController {
  constructor(private readonly events: EventsService) {}

  @Get()
  @Operation({
    id: 'streamEvents',
    summary: 'What changes in the cooperative, as it changes (server-sent events)',
    streams: liveEvent,
    errors: ['unavailable'],
  })
  @ApiProduces('text/event-stream')
  @ApiHeader({
    name: 'Last-Event-ID',
    required: false,
    description: 'go on after this event; stands above `after`',
    schema: { type: 'string' },
  })
  async stream(
    @Param('cooperativeId', { schema: primitives.id }) _cooperativeId: string,
    @CurrentActor() actor: Actor,
    @CurrentPerson() person: SignedIn,
    @Headers('last-event-id') lastEventId: string | undefined,
    @Query('after', { schema: eventPlace.optional() }) after: string | undefined,
    @Req() request: IdentifiedRequest,
    @Res() reply: FastifyReply,
  ): Promise<void> {
    // A browser that comes back by itself says in the header what it has seen since the address was written.
    const seen = eventPlace.safeParse(lastEventId).data ?? after;
    await this.events.open(actor, person, request, reply, seen === undefined ? undefined : BigInt(seen));
  }
}
