import type { Prisma } from '../../generated/prisma/client.ts';

/** What calc or a contract has made for a column of JSON: plain data, which its type does not say. */
export const json = (value: unknown): Prisma.InputJsonValue => value as Prisma.InputJsonValue;
