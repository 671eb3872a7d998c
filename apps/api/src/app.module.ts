import { Module, type DynamicModule } from '@nestjs/common';
import { AccountsModule } from './accounts/accounts.module.ts';
import { BuyingModule } from './buying/buying.module.ts';
import { CollectionModule } from './collection/collection.module.ts';
import { CooperativesModule } from './cooperatives/cooperatives.module.ts';
import { IdentityModule } from './identity/identity.module.ts';
import { KitchenModule } from './kitchen/kitchen.module.ts';
import { NoticesModule } from './notices/notices.module.ts';
import type { Config } from './platform/config/config.ts';
import { PlatformModule } from './platform/platform.module.ts';
import { RecallsModule } from './recalls/recalls.module.ts';
import { RecipesModule } from './recipes/recipes.module.ts';
import { RotaModule } from './rota/rota.module.ts';
import { RoundsModule } from './rounds/rounds.module.ts';
import { ShareOutsModule } from './share-outs/share-outs.module.ts';
import { StockModule } from './stock/stock.module.ts';
import { SwapsModule } from './swaps/swaps.module.ts';

/** The whole API: the platform and one module for each capability. */
@Module({})
export class AppModule {
  static with(config: Config): DynamicModule {
    return {
      module: AppModule,
      imports: [
        PlatformModule.with(config),
        IdentityModule,
        CooperativesModule,
        RoundsModule,
        RotaModule,
        KitchenModule,
        BuyingModule,
        RecipesModule,
        ShareOutsModule,
        StockModule,
        CollectionModule,
        SwapsModule,
        AccountsModule,
        NoticesModule,
        RecallsModule,
      ],
    };
  }
}
