import { Injectable } from '@nestjs/common';
import { Database, type Tx } from '../platform/db/prisma.ts';

/** Whether the made-up cooperative is here, and whether a real one has taken its place. */
@Injectable()
export class InstallationRepository {
  constructor(private readonly database: Database) {}

  async state(): Promise<{ demoLoaded: boolean; real: boolean }> {
    const row = await this.database.client.installation.findUniqueOrThrow({ where: { id: 1 } });
    return { demoLoaded: row.demoLoadedAt !== null, real: row.realCooperativeAt !== null };
  }

  /** Whether this was the first. */
  async becomesReal(tx: Tx): Promise<boolean> {
    const count = await tx.$executeRaw`
      UPDATE installation SET real_cooperative_at = now() WHERE real_cooperative_at IS NULL`;
    return count === 1;
  }
}
