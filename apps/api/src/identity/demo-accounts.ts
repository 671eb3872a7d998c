import { Inject, Injectable } from '@nestjs/common';
import { demo } from '@frostmoot/contract';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { z } from 'zod';
import type { Config } from '../platform/config/config.ts';
import { CONFIG } from '../platform/config/tokens.ts';

type Accounts = z.infer<typeof demo>['accounts'];

/** The accounts of the made-up cooperative, as its folder names them; none where the folder is not there. */
@Injectable()
export class DemoAccounts {
  private accounts: Promise<Accounts> | undefined;

  constructor(@Inject(CONFIG) private readonly config: Config) {}

  read(): Promise<Accounts> {
    this.accounts ??= this.readFile();
    return this.accounts;
  }

  private async readFile(): Promise<Accounts> {
    try {
      const text = await readFile(join(this.config.demoDir, 'accounts.json'), 'utf8');
      return demo.shape.accounts.parse(JSON.parse(text));
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
      throw error;
    }
  }
}
