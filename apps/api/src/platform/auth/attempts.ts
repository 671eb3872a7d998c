import { Injectable } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import { createHash } from 'node:crypto';

const WINDOW_MS = 15 * 60 * 1000;
const MOST_KEYS = 50_000;

/** How many failures within the window are too many: for an account from one address, for an account, from one address. */
const LIMITS = { pair: 10, account: 60, address: 100 } as const;

interface Count {
  failures: number;
  until: number;
}

/** Counts failed sign-ins of the last quarter of an hour in this process; who succeeds is not counted. Keys are hashed, so that memory holds no addresses. */
@Injectable()
export class Attempts {
  private readonly counts = new Map<string, Count>();

  /** Refuses when too much has failed. */
  check(account: string, address: string, now = Date.now()): void {
    for (const [key, limit] of keysOf(account, address)) {
      const count = this.counts.get(key);
      if (count && count.until > now && count.failures >= limit) {
        throw new DomainError('too-many-attempts', 'Too many failed attempts; try again later', {
          params: { retryAfterSeconds: Math.ceil((count.until - now) / 1000) },
        });
      }
    }
  }

  failed(account: string, address: string, now = Date.now()): void {
    if (this.counts.size > MOST_KEYS) this.forgetOld(now);
    for (const [key] of keysOf(account, address)) {
      const count = this.counts.get(key);
      if (count && count.until > now) count.failures += 1;
      else this.counts.set(key, { failures: 1, until: now + WINDOW_MS });
    }
  }

  succeeded(account: string, address: string): void {
    const [pair] = keysOf(account, address)[0];
    this.counts.delete(pair);
  }

  private forgetOld(now: number): void {
    for (const [key, { until }] of this.counts) if (until <= now) this.counts.delete(key);
    // Under a flood from everywhere the oldest go: memory is bounded before anything else.
    for (const key of this.counts.keys()) {
      if (this.counts.size <= MOST_KEYS) break;
      this.counts.delete(key);
    }
  }
}

function keysOf(account: string, address: string): [[string, number], [string, number], [string, number]] {
  const keyed = (...parts: string[]) => createHash('sha256').update(JSON.stringify(parts)).digest('base64url');
  return [
    [keyed('pair', account, address), LIMITS.pair],
    [keyed('account', account), LIMITS.account],
    [keyed('address', address), LIMITS.address],
  ];
}
