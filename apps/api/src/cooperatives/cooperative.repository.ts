import { Injectable } from '@nestjs/common';
import type { changeCooperative } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

@Injectable()
export class CooperativeRepository {
  get(tx: Tx, { cooperativeId }: Scope) {
    return tx.cooperative.findUniqueOrThrow({ where: { id: cooperativeId } });
  }

  /** False when it changed since that version. */
  async change(
    tx: Tx,
    { cooperativeId }: Scope,
    version: number,
    change: z.infer<typeof changeCooperative>,
  ): Promise<boolean> {
    const { count } = await tx.cooperative.updateMany({
      where: { id: cooperativeId, version },
      data: { ...change, version: { increment: 1 } },
    });
    return count === 1;
  }
}
