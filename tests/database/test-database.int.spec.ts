import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { withClient } from '../../tools/database.mjs';
import { brokenInvariants, createTestDatabase, type TestDatabase } from './test-database.ts';

describe('the test database', () => {
  let database: TestDatabase;
  beforeAll(async () => {
    database = await createTestDatabase();
  });
  afterAll(() => database.drop());

  it('gives the application a role that owns nothing and is held by row-level security', async () => {
    const [role] = await withClient(database.appUrl, async (client) => {
      const { rows } = await client.query<{ rolsuper: boolean; rolbypassrls: boolean; owned: string }>(
        `SELECT rolsuper, rolbypassrls, (SELECT count(*) FROM pg_class WHERE relowner = pg_roles.oid) AS owned
         FROM pg_roles WHERE rolname = current_user`,
      );
      return rows;
    });
    expect(role).toEqual({ rolsuper: false, rolbypassrls: false, owned: '0' });
  });

  it('shows a broken invariant of any cooperative to its owner', async () => {
    expect(await brokenInvariants(database.ownerUrl)).toEqual([]);
    const cooperativeId = '01900000-0000-7000-8000-000000000001';
    await withClient(database.ownerUrl, async (client) => {
      // Referential and balance triggers are put aside for this session, as no statement of the application can.
      await client.query('ALTER TABLE posting DISABLE TRIGGER USER');
      await client.query('ALTER TABLE posting DROP CONSTRAINT posting_cooperative_id_entry_id_fkey');
      await client.query('ALTER TABLE posting DROP CONSTRAINT posting_cooperative_id_account_id_fkey');
      await client.query(
        `INSERT INTO posting (cooperative_id, id, entry_id, account_id, amount) VALUES ($1, gen_random_uuid(), gen_random_uuid(), gen_random_uuid(), 5)`,
        [cooperativeId],
      );
    });
    expect(await brokenInvariants(database.ownerUrl)).toContainEqual(
      expect.objectContaining({ cooperative_id: cooperativeId, rule: 'entry-balances' }),
    );
  });

  it('is a database of its own', async () => {
    const other = await createTestDatabase();
    expect(other.appUrl).not.toBe(database.appUrl);
    expect(await brokenInvariants(other.ownerUrl)).toEqual([]);
    await other.drop();
    await expect(brokenInvariants(other.ownerUrl)).rejects.toThrow(/does not exist/);
  });
});
