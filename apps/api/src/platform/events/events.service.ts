import { Inject, Injectable, Logger } from '@nestjs/common';
import type { FastifyReply, FastifyRequest } from 'fastify';
import type { Actor, SignedIn } from '../auth/actor.ts';
import { readSessionCookie } from '../auth/cookie.ts';
import { SessionRepository } from '../auth/session.repository.ts';
import type { Config } from '../config/config.ts';
import { CONFIG } from '../config/tokens.ts';
import { UnitOfWork } from '../db/unit-of-work.ts';
import { EventStream } from './event-stream.ts';
import { OutboxListener } from './listener.ts';
import { OutboxRepository } from './outbox.repository.ts';

/** Opens live streams and keeps them for as long as whoever reads one is signed in and a member. */
@Injectable()
export class EventsService {
  /** between two signs of life, at each of which it is asked again whether the reader may read */
  beatMs = 25_000;
  private readonly logger = new Logger('events');

  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly outbox: OutboxRepository,
    private readonly listener: OutboxListener,
    private readonly sessions: SessionRepository,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  async open(
    actor: Actor,
    person: SignedIn,
    request: FastifyRequest,
    reply: FastifyReply,
    last: bigint | undefined,
  ): Promise<void> {
    const from = last ?? (await this.unitOfWork.read(actor, (tx) => this.outbox.latest(tx, actor.cooperativeId)));
    const response = reply.raw;
    const stream: EventStream = new EventStream(response, from, () => void this.catchUp(actor, stream));
    // Heard before read: what commits between the two is told once more, not lost.
    const unsubscribe = await this.listener.subscribe(actor.cooperativeId, stream);
    reply.hijack();
    response.writeHead(200, {
      ...Object.fromEntries(Object.entries(reply.getHeaders()).map(([name, value]) => [name, String(value)])),
      'content-type': 'text/event-stream; charset=utf-8',
      'cache-control': 'no-store',
      'x-accel-buffering': 'no',
      // A stream that has ended must not keep the server from stopping as an idle connection would.
      connection: 'close',
    });
    stream.beat();
    const beat = setInterval(() => void this.beat(actor, person, request, stream), this.beatMs);
    response.on('close', () => {
      clearInterval(beat);
      unsubscribe();
    });
    if (last === undefined) stream.catchUp([]);
    else await this.catchUp(actor, stream);
  }

  private async catchUp(actor: Actor, stream: EventStream): Promise<void> {
    try {
      const { last } = stream;
      stream.catchUp(await this.unitOfWork.read(actor, (tx) => this.outbox.since(tx, actor.cooperativeId, last)));
    } catch (error) {
      this.logger.error(error);
      // The browser comes back with its last id.
      stream.end();
    }
  }

  private async beat(actor: Actor, person: SignedIn, request: FastifyRequest, stream: EventStream): Promise<void> {
    const secret = readSessionCookie(request, this.config);
    const still = await this.stillMember(secret, actor, person).catch(() => true);
    if (still) stream.beat();
    else stream.end();
  }

  private async stillMember(secret: string | undefined, actor: Actor, person: SignedIn): Promise<boolean> {
    const found = secret === undefined ? null : await this.sessions.identify(secret, actor.cooperativeId);
    return found?.person.personId === person.personId && found.actor !== null;
  }
}
