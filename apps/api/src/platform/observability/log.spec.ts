import { describe, expect, it } from '@jest/globals';
import { withoutPersonalData } from './log.ts';

/** An error as Prisma throws it when PostgreSQL refuses a value. */
function databaseFailure(): Error {
  const error = new Error('Invalid `tx.person.create()` invocation: (email)=(ada@example.org) already exists');
  error.name = 'PrismaClientKnownRequestError';
  return Object.assign(error, {
    code: 'P2002',
    meta: {
      driverAdapterError: {
        cause: {
          originalCode: '23505',
          originalMessage: 'duplicate key value violates unique constraint "person_email_key"',
        },
      },
    },
  });
}

describe('what the log keeps of an error', () => {
  it('says what the database refused and where, but no value', () => {
    const kept = withoutPersonalData(databaseFailure());
    expect(kept).toMatchObject({
      kind: 'PrismaClientKnownRequestError',
      prismaCode: 'P2002',
      sqlState: '23505',
      constraint: 'person_email_key',
    });
    expect(JSON.stringify(kept)).not.toContain('ada@example.org');
    expect(kept['stack']).toContain('databaseFailure');
  });

  it('keeps no message that could quote what was sent', () => {
    const kept = withoutPersonalData(new SyntaxError('Unexpected token a, "ada@exampl" is not valid JSON'));
    expect(JSON.stringify(kept)).not.toContain('ada');
    expect(withoutPersonalData('ada@example.org')).toEqual({ kind: 'string' });
  });

  it('keeps our own words', () => {
    expect(withoutPersonalData(new TypeError('x is not a function'))).toMatchObject({ message: 'x is not a function' });
  });
});
