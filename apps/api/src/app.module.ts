import { Module, type DynamicModule } from '@nestjs/common';
import { CooperativesModule } from './cooperatives/cooperatives.module.ts';
import { IdentityModule } from './identity/identity.module.ts';
import type { Config } from './platform/config/config.ts';
import { PlatformModule } from './platform/platform.module.ts';
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
        ShareOutsModule,
        StockModule,
        SwapsModule,
      ],
    };
  }
}
