import { Inject, Injectable } from '@nestjs/common';
import type { Config } from '../config/config.ts';
import { CONFIG } from '../config/tokens.ts';

/** The present. Everything that asks for the time asks here, so that a demonstration or a test can fix it. */
@Injectable()
export class Clock {
  constructor(@Inject(CONFIG) private readonly config: Config) {}

  now(): Date {
    return this.config.now ?? new Date();
  }
}
