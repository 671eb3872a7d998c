import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import type { Config } from '../platform/config/config.ts';
import { localToday } from '../platform/clock/local-today.ts';
import { DemoClient } from './demo-client.ts';

const DAY_MS = 86_400_000;

/** What the parts of the loading share: who speaks, what day it is, and the ids behind the scenario's names. */
export class DemoStage {
  readonly ids = {
    household: new Map<string, string>(),
    ingredient: new Map<string, string>(),
    recipe: new Map<string, { id: string; versionId: string }>(),
    seller: new Map<string, string>(),
  };
  readonly people = new Map<string, DemoClient>();
  cooperative = '';

  private readonly loadedAt: Date;

  constructor(
    private readonly app: NestFastifyApplication,
    private readonly config: Config,
    private readonly timeZone: string,
  ) {
    this.loadedAt = config.now ?? new Date();
  }

  newClient(): DemoClient {
    return new DemoClient(this.app, new URL(this.config.publicUrl).origin);
  }

  /** The person who acts for a household. */
  of(household: string): DemoClient {
    return named(this.people, household);
  }

  /** Makes it that day, counted from the day of loading, for everything that asks the clock. */
  goTo(day: number): void {
    this.config.now = new Date(this.loadedAt.getTime() + day * DAY_MS);
  }

  date(day: number): string {
    return localToday(new Date(this.loadedAt.getTime() + day * DAY_MS), this.timeZone);
  }

  path(rest: string): string {
    return `/cooperatives/${this.cooperative}${rest}`;
  }
}

/** The value under a name, or an error that says which name the scenario got wrong. */
export function named<T>(map: ReadonlyMap<string, T>, name: string): T {
  const value = map.get(name);
  if (value === undefined) throw new Error(`The demo scenario speaks of "${name}", which it does not define`);
  return value;
}
