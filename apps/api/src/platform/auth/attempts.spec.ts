import { describe, expect, it } from '@jest/globals';
import { Attempts } from './attempts.ts';

const refused = (attempts: Attempts, account: string, address: string, now: number): boolean => {
  try {
    attempts.check(account, address, now);
    return false;
  } catch {
    return true;
  }
};
const fail = (attempts: Attempts, times: number, account: string, address: string, now = 0): void => {
  for (let count = 0; count < times; count += 1) attempts.failed(account, address, now);
};
const QUARTER = 15 * 60 * 1000;

describe('failed attempts', () => {
  it('stop an account from one address after ten, for a quarter of an hour from the first', () => {
    const attempts = new Attempts();
    fail(attempts, 9, 'ada', 'here');
    expect(refused(attempts, 'ada', 'here', 1)).toBe(false);
    fail(attempts, 1, 'ada', 'here', 1000);
    expect(refused(attempts, 'ada', 'here', QUARTER - 1)).toBe(true);
    expect(refused(attempts, 'ada', 'elsewhere', 1)).toBe(false);
    expect(refused(attempts, 'bo', 'here', 1)).toBe(false);
    expect(refused(attempts, 'ada', 'here', QUARTER)).toBe(false);
  });

  it('stop one address that tries many accounts, and many addresses that try one', () => {
    const attempts = new Attempts();
    for (let account = 0; account < 100; account += 1) fail(attempts, 1, `account ${account}`, 'here');
    expect(refused(attempts, 'ada', 'here', 1)).toBe(true);
    for (let address = 0; address < 60; address += 1) fail(attempts, 1, 'bo', `address ${address}`);
    expect(refused(attempts, 'bo', 'anywhere', 1)).toBe(true);
  });

  it('begin anew for the pair after a success, not for the address', () => {
    const attempts = new Attempts();
    fail(attempts, 10, 'ada', 'here');
    attempts.succeeded('ada', 'here');
    expect(refused(attempts, 'ada', 'here', 1)).toBe(false);
    fail(attempts, 90, 'bo', 'here');
    expect(refused(attempts, 'ada', 'here', 1)).toBe(true);
  });
});
