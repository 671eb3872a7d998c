import { Module } from '@nestjs/common';
import { RotaTurnsRepository } from './rota-turns.repository.ts';
import { TurnsOfDayRepository } from './turns-of-day.repository.ts';

/** The rows of published turns, for every capability that works with them. */
@Module({
  providers: [RotaTurnsRepository, TurnsOfDayRepository],
  exports: [RotaTurnsRepository, TurnsOfDayRepository],
})
export class RotaRowsModule {}
