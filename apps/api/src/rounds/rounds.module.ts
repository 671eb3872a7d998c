import { Module } from '@nestjs/common';
import { BuyingModule } from '../buying/buying.module.ts';
import { KitchenModule } from '../kitchen/kitchen.module.ts';
import { RecipesModule } from '../recipes/recipes.module.ts';
import { RotaRowsModule } from '../rota/rota-rows.module.ts';
import { DishProposalService } from './dish-proposal.service.ts';
import { MoveRoundService } from './move-round.service.ts';
import { ParticipationService } from './participation.service.ts';
import { RoundReader } from './round-reader.ts';
import { RoundRowsModule } from './round-rows.module.ts';
import { RoundsController } from './rounds.controller.ts';
import { RoundsService } from './rounds.service.ts';

@Module({
  imports: [BuyingModule, KitchenModule, RecipesModule, RotaRowsModule, RoundRowsModule],
  controllers: [RoundsController],
  providers: [DishProposalService, MoveRoundService, ParticipationService, RoundReader, RoundsService],
})
export class RoundsModule {}
