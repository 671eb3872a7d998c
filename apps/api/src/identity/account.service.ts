import { Injectable } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import type { changeMe, demo } from '@frostmoot/contract';
import type { z } from 'zod';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { DemoAccounts } from './demo-accounts.ts';
import { InstallationRepository } from './installation.repository.ts';
import { PersonRepository } from './person.repository.ts';
import { scopeOf, SignInService, type Me } from './sign-in.service.ts';

/** One's own account, and those that the demonstration offers. */
@Injectable()
export class AccountService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly persons: PersonRepository,
    private readonly installation: InstallationRepository,
    private readonly demoAccounts: DemoAccounts,
    private readonly signIns: SignInService,
  ) {}

  change(personId: string, version: number, change: z.infer<typeof changeMe>): Promise<Me> {
    return this.unitOfWork.write(scopeOf(personId), async (tx) => {
      if (!(await this.persons.change(tx, personId, version, change))) {
        throw new DomainError('precondition-failed', 'Your account has changed since you read it');
      }
      return (await this.signIns.readIn(tx, personId)).me;
    });
  }

  async demo(): Promise<z.infer<typeof demo>> {
    const { demoLoaded, real } = await this.installation.state();
    if (!demoLoaded || real) return { enabled: false, accounts: [] };
    const accounts = await this.demoAccounts.read();
    return { enabled: accounts.length > 0, accounts };
  }
}
