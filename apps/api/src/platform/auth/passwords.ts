import { Injectable } from '@nestjs/common';
import { hash, verify, type Options } from '@node-rs/argon2';
import { DomainError } from '@frostmoot/calc';
import { randomBytes } from 'node:crypto';

/** Argon2id with 64 MiB and three passes: the second recommended choice of RFC 9106, section 4, with one lane. */
const COST: Options = { memoryCost: 65_536, timeCost: 3, parallelism: 1 };
const AT_ONCE = 2;
const MOST_WAITING = 40;

/** Hashes and checks passwords; at most two at once, so that many sign-ins cannot take all memory. */
@Injectable()
export class Passwords {
  private running = 0;
  private readonly waiting: (() => void)[] = [];
  private dummy: Promise<string> | undefined;

  hash(password: string): Promise<string> {
    return this.inTurn(() => hash(password, COST));
  }

  /** Takes as long for an unknown account (null) as for a wrong password. */
  async matches(kept: string | null, password: string): Promise<boolean> {
    this.dummy ??= this.hash(randomBytes(32).toString('base64url'));
    const against = kept ?? (await this.dummy);
    const right = await this.inTurn(() => verify(against, password));
    return right && kept !== null;
  }

  private async inTurn<T>(work: () => Promise<T>): Promise<T> {
    if (this.running >= AT_ONCE) {
      if (this.waiting.length >= MOST_WAITING) throw new DomainError('unavailable', 'Too many people sign in at once');
      await new Promise<void>((resolve) => this.waiting.push(resolve));
    } else {
      this.running += 1;
    }
    try {
      return await work();
    } finally {
      const next = this.waiting.shift();
      // Whoever waits takes over this place, so that nobody can slip in between.
      if (next) next();
      else this.running -= 1;
    }
  }
}
