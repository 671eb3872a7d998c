import { Module } from '@nestjs/common';
import { BuyingModule } from '../buying/buying.module.ts';
import { RecipesModule } from '../recipes/recipes.module.ts';
import { RoundRowsModule } from '../rounds/round-rows.module.ts';
import { BatchesRepository } from './batches.repository.ts';
import { KitchenController } from './kitchen.controller.ts';
import { KitchenService } from './kitchen.service.ts';

@Module({
  imports: [BuyingModule, RecipesModule, RoundRowsModule],
  controllers: [KitchenController],
  providers: [BatchesRepository, KitchenService],
  exports: [BatchesRepository],
})
export class KitchenModule {}
