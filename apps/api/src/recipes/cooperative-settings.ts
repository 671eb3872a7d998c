import { Injectable } from '@nestjs/common';
import type { Measures, WeightPolicy } from '@frostmoot/calc';
import { perHeadPolicy, rational } from '@frostmoot/calc';
import { Clock } from '../platform/clock/clock.ts';
import { dayIn, type CooperativeDay } from '../platform/clock/day-of.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

/** What a cooperative's own choices mean for a calculation, and its date. */
export interface Settings extends CooperativeDay {
  measures: Measures;
  weights: WeightPolicy;
}

/** Reads a cooperative's units, day and way of counting heads. */
@Injectable()
export class CooperativeSettings {
  constructor(private readonly clock: Clock) {}

  async of(tx: Tx, scope: Scope): Promise<Settings> {
    const row = await tx.cooperative.findUniqueOrThrow({
      where: { id: scope.cooperativeId },
      select: { unitSystem: true, timeZone: true, weightScale: true, childWeight: true },
    });
    return {
      ...dayIn(row.timeZone, this.clock),
      measures: row.unitSystem as Measures,
      weights: policyOf(row.weightScale, row.childWeight),
    };
  }
}

function policyOf(scale: string, childWeight: string): WeightPolicy {
  if (scale === 'own') return { scale: 'own' };
  const childBelow = perHeadPolicy.scale === 'own' ? 0 : perHeadPolicy.childBelow;
  return { scale: scale === 'energy' ? 'energy' : 'per-head', childWeight: rational.parse(childWeight), childBelow };
}
