import { Module } from '@nestjs/common';
import { CookDaysRepository } from './cook-days.repository.ts';
import { DishesRepository } from './dishes.repository.ts';
import { ParticipantsRepository } from './participants.repository.ts';
import { RoundsRepository } from './rounds.repository.ts';

/** The rows of rounds, for every capability that works on one. */
@Module({
  providers: [RoundsRepository, ParticipantsRepository, DishesRepository, CookDaysRepository],
  exports: [RoundsRepository, ParticipantsRepository, DishesRepository, CookDaysRepository],
})
export class RoundRowsModule {}
