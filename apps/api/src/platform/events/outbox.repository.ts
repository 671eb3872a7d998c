import { Injectable } from '@nestjs/common';
import { topic, topics } from '@frostmoot/contract';
import { z } from 'zod';
import type { Tx } from '../db/prisma.ts';
import type { Told } from './listener.ts';

const row = z.object({ seq: z.bigint(), topic, subject_id: z.string().nullable() });
const MOST = 500;

/** What happened while a stream was away. */
@Injectable()
export class OutboxRepository {
  async latest(tx: Tx, cooperativeId: string): Promise<bigint> {
    const rows = await tx.$queryRaw<[{ seq: bigint }]>`
      SELECT coalesce(max(seq), 0)::bigint AS seq FROM outbox WHERE cooperative_id = ${cooperativeId}::uuid`;
    return rows[0].seq;
  }

  /**
   * Events after the last one seen. Numbers are given before commit, so one that was still open when the last was seen may have a lower number:
   * a minute before it is told again, which does no harm, since an event only says "read this again". Every topic is told instead when too much happened, and
   * when the last one seen is not there or so old that some since may have been deleted (they are kept a day longer than this, see OldRows).
   */
  async since(tx: Tx, cooperativeId: string, last: bigint): Promise<Told[]> {
    const [seen] = await tx.$queryRaw<{ created_at: Date }[]>`
      SELECT created_at FROM outbox
      WHERE cooperative_id = ${cooperativeId}::uuid AND seq = ${last} AND created_at > now() - interval '7 days'`;
    if (!seen) return everyTopic(bigger(await this.latest(tx, cooperativeId), last));
    const rows = await tx.$queryRaw<unknown[]>`
      SELECT seq, topic, subject_id::text AS subject_id FROM outbox
      WHERE cooperative_id = ${cooperativeId}::uuid AND seq <> ${last}
        AND (seq > ${last} OR created_at > ${seen.created_at}::timestamptz - interval '1 minute')
      ORDER BY seq LIMIT ${MOST + 1}`;
    const events = rows.map((found) => row.parse(found));
    if (events.length > MOST) return everyTopic(events.at(-1)?.seq ?? last);
    return events.map((event) => ({ seq: event.seq, topic: event.topic, subjectId: event.subject_id }));
  }
}

const bigger = (a: bigint, b: bigint): bigint => (a > b ? a : b);
const everyTopic = (seq: bigint): Told[] => topics.map((name) => ({ seq, topic: name, subjectId: null }));
