import { Module } from '@nestjs/common';
import { AccountService } from './account.service.ts';
import { DemoAccounts } from './demo-accounts.ts';
import { IdentityController } from './identity.controller.ts';
import { InstallationRepository } from './installation.repository.ts';
import { InvitationRepository } from './invitation.repository.ts';
import { InvitationService } from './invitation.service.ts';
import { InvitationsController } from './invitations.controller.ts';
import { PersonRepository } from './person.repository.ts';
import { SetUpService } from './set-up.service.ts';
import { SignInService } from './sign-in.service.ts';

/** Who people are: accounts, sessions, setting up a cooperative, invitations into one. */
@Module({
  controllers: [IdentityController, InvitationsController],
  providers: [
    AccountService,
    DemoAccounts,
    InstallationRepository,
    InvitationRepository,
    InvitationService,
    PersonRepository,
    SetUpService,
    SignInService,
  ],
})
export class IdentityModule {}
