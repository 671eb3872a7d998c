import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { cp, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { prisma } from '../../tools/prisma.mjs';
import { createTestDatabase, type TestDatabase } from '../database/test-database.ts';

describe('the schema and its migrations', () => {
  let database: TestDatabase;
  let folder: string;
  beforeAll(async () => {
    database = await createTestDatabase();
    folder = await mkdtemp(join(tmpdir(), 'frostmoot-schema-'));
  });
  afterAll(async () => {
    await database.drop();
    await rm(folder, { recursive: true });
  });

  const diff = (...sides: string[]) =>
    prisma(['migrate', 'diff', ...sides, '--exit-code'], { databaseUrl: database.ownerUrl, quiet: true });

  it('describe the same tables: a shadow database with every migration is the schema', async () => {
    const { code, output } = await diff(
      '--from-migrations',
      'prisma/migrations',
      '--to-schema',
      'prisma/schema.prisma',
    );
    expect({ code, output }).toEqual({ code: 0, output: expect.stringContaining('No difference detected') });
  });

  it('are told apart when the schema has one column more', async () => {
    await cp('prisma', folder, { recursive: true });
    const changed = join(folder, 'schema.prisma');
    const text = await readFile(changed, 'utf8');
    await writeFile(changed, text.replace('model Seller {', 'model Seller {\n  extra String?'));
    const { code, output } = await diff('--from-config-datasource', '--to-schema', changed);
    expect({ code, output }).toEqual({ code: 2, output: expect.stringMatching(/seller.*Added column `extra`/s) });
  });

  it('are all applied in a database that the tests get', async () => {
    const { code, output } = await prisma(['migrate', 'status'], { databaseUrl: database.ownerUrl, quiet: true });
    expect({ code, output }).toEqual({ code: 0, output: expect.stringContaining('Database schema is up to date') });
  });

  it('say in a sentence that a server cannot be reached', async () => {
    const { code, output } = await prisma(['migrate', 'status'], {
      databaseUrl: 'postgresql://nobody@127.0.0.1:1/none',
      quiet: true,
    });
    expect({ code, output }).toEqual({ code: 1, output: expect.stringMatching(/P1001: .*ECONNREFUSED/) });
  });
});
