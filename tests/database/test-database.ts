import { copyTemplate } from '../../tools/test-cluster.mjs';
import { withClient } from '../../tools/database.mjs';

export interface TestDatabase {
  /** The role that migrates; it sees past row-level security. */
  ownerUrl: string;
  /** The role of the API, which owns nothing and is held by row-level security. */
  appUrl: string;
  drop(): Promise<void>;
}

/** A migrated, empty database for one test file. */
export function createTestDatabase(): Promise<TestDatabase> {
  return copyTemplate();
}

export interface BrokenInvariant {
  cooperative_id: string;
  rule: string;
  subject: string;
}

/** What is wrong with the data: must be empty after every test. `ownerUrl`, since the view shows the application only what it may see. */
export function brokenInvariants(ownerUrl: string): Promise<BrokenInvariant[]> {
  return withClient(ownerUrl, async (client) => {
    const { rows } = await client.query<BrokenInvariant>('SELECT * FROM broken_invariant');
    return rows;
  });
}
