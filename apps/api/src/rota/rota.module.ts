import { Module } from '@nestjs/common';
import { LedgerModule } from '../accounts/ledger.module.ts';
import { NoticesModule } from '../notices/notices.module.ts';
import { RecipesModule } from '../recipes/recipes.module.ts';
import { RoundRowsModule } from '../rounds/round-rows.module.ts';
import { CookingController } from './cooking.controller.ts';
import { CookingRepository } from './cooking.repository.ts';
import { CookingService } from './cooking.service.ts';
import { DraftService } from './draft.service.ts';
import { PassedTurns } from './passed-turns.service.ts';
import { ProposalService } from './proposal.service.ts';
import { PublishService } from './publish.service.ts';
import { RotaController } from './rota.controller.ts';
import { RotaFactsService } from './rota-facts.service.ts';
import { RotaNotices } from './rota-notices.ts';
import { RotaRowsModule } from './rota-rows.module.ts';
import { RotaService } from './rota.service.ts';
import { RotasRepository } from './rotas.repository.ts';
import { TurnSwapsController } from './turn-swaps.controller.ts';
import { TurnSwapsRepository } from './turn-swaps.repository.ts';
import { TurnSwapsService } from './turn-swaps.service.ts';
import { TurnsService } from './turns.service.ts';

@Module({
  imports: [LedgerModule, NoticesModule, RecipesModule, RotaRowsModule, RoundRowsModule],
  controllers: [CookingController, RotaController, TurnSwapsController],
  providers: [
    CookingRepository,
    CookingService,
    DraftService,
    PassedTurns,
    ProposalService,
    PublishService,
    RotaFactsService,
    RotaService,
    RotasRepository,
    TurnSwapsRepository,
    TurnSwapsService,
    RotaNotices,
    TurnsService,
  ],
})
export class RotaModule {}
