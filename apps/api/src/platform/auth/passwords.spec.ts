import { describe, expect, it } from '@jest/globals';
import { Passwords } from './passwords.ts';

describe('passwords', () => {
  it('are kept as Argon2id with 64 MiB, three passes and one lane, each with a salt of its own', async () => {
    const passwords = new Passwords();
    const [one, other] = await Promise.all([passwords.hash('cold hands'), passwords.hash('cold hands')]);
    expect(one).toMatch(/^\$argon2id\$v=19\$m=65536,t=3,p=1\$/);
    expect(one).not.toBe(other);
    expect(await passwords.matches(one, 'cold hands')).toBe(true);
    expect(await passwords.matches(one, 'warm hands')).toBe(false);
  });

  it('never match an account that does not exist', async () => {
    expect(await new Passwords().matches(null, 'cold hands')).toBe(false);
  });

  it('are hashed two at a time, and refused when too many wait', async () => {
    const passwords = new Passwords();
    const outcomes = await Promise.allSettled(Array.from({ length: 45 }, () => passwords.hash('cold hands')));
    const refused = outcomes.filter(({ status }) => status === 'rejected');
    // Two run and forty wait.
    expect(refused).toHaveLength(3);
    for (const outcome of refused) expect(outcome).toMatchObject({ reason: { code: 'unavailable' } });
    // Whoever was refused took no place away.
    expect(await passwords.hash('cold hands')).toContain('$argon2id$');
  });
});
