interface Cause {
  originalCode?: unknown;
  originalMessage?: unknown;
  constraint?: { index?: unknown };
}

/** What PostgreSQL said, wherever Prisma keeps it: SQLSTATE and the constraint's name. */
export function databaseError(error: unknown): { sqlState?: string; constraint?: string; prismaCode?: string } {
  if (typeof error !== 'object' || error === null) return {};
  const { code, meta, cause } = error as { code?: unknown; meta?: unknown; cause?: unknown };
  const wrapped =
    (meta as { driverAdapterError?: { cause?: unknown } } | undefined)?.driverAdapterError?.cause ?? cause;
  const found = (typeof wrapped === 'object' && wrapped !== null ? wrapped : {}) as Cause;
  const named = /constraint "([^"]+)"/.exec(String(found.originalMessage ?? ''))?.[1];
  const constraint = typeof found.constraint?.index === 'string' ? found.constraint.index : named;
  return {
    ...(typeof found.originalCode === 'string' ? { sqlState: found.originalCode } : {}),
    ...(constraint ? { constraint } : {}),
    ...(typeof code === 'string' ? { prismaCode: code } : {}),
  };
}

const AGAIN = new Set(['40001', '40P01', '53200']);

/** Whether the same transaction may succeed when it is tried again from its start. */
export function mayTryAgain(error: unknown): boolean {
  const { sqlState, prismaCode } = databaseError(error);
  return prismaCode === 'P2034' || (sqlState !== undefined && AGAIN.has(sqlState));
}
