import { defineConfig } from 'prisma/config';

// `generate` and `migrate diff` from files need no database, so a missing address is not an error here.
export default defineConfig({
  schema: 'prisma/schema.prisma',
  migrations: { path: 'prisma/migrations' },
  datasource: { url: process.env.DATABASE_URL ?? '' },
});
