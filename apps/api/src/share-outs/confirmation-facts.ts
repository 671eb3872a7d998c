import { rational } from '@frostmoot/calc';
import type { Facts } from '@frostmoot/calc';
import type { KeptShareOut } from './share-out.repository.ts';

/** The numbers beside each household's two postings, so that a statement can show its sum line by line. */
export function confirmationFacts(roundNumber: number, { input, result }: KeptShareOut): Map<string, Facts> {
  const totalWeight = rational.format(rational.sum(input.households.map(({ weight }) => rational.parse(weight))));
  const totalPortions = input.lots.reduce((sum, { containers, portions }) => sum + containers * portions, 0);
  return new Map(
    input.households.map(({ id, weight, owed }): [string, Facts] => [
      id,
      {
        round: roundNumber,
        totalPortions,
        weight,
        totalWeight,
        entitlement: result.entitlement[id] ?? '0',
        owedBefore: owed,
        target: result.target[id] ?? '0',
        received: result.received[id] ?? '0',
        owedAfter: result.owedAfter[id] ?? '0',
      },
    ]),
  );
}
