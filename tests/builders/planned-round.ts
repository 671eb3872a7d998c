import { drawer } from './share-out-instance.ts';

/** A round to be planned that is made from a number: 8 kg of mince at hand, a kitchen that is a little too small, dishes in whole grams and millilitres. */
export function plannedRound(seed: number, households: number, dishes: number): Record<string, unknown> {
  const draw = drawer(seed);
  const some = (part: number): string[] => (draw(part) === 0 ? [`dish ${draw(dishes)}`] : []);
  return {
    seed: `round ${seed}`,
    households: Array.from({ length: households }, (_, h) => ({
      id: `household ${h}`,
      portions: String(5 + draw(15)),
      variety: 1 + draw(3),
      excludes: some(3),
      refuses: some(3),
      wishes: some(2),
    })),
    dishes: Array.from({ length: dishes }, (_, d) => ({
      id: `dish ${d}`,
      portions: String(6 + 2 * draw(8)),
      container: '4',
      uses: draw(3) > 0 ? [{ ingredient: 'mince', quantity: String(400 + 50 * draw(20)), unit: 'g' }] : [],
      freezerMl: 3000 + 500 * draw(8),
      pots: 1 + draw(2),
      minutes: { perBatch: 20 + draw(30), fixed: 30 },
      cost: String(500 + draw(1500)),
    })),
    atHand: [{ ingredient: 'mince', quantity: '8', unit: 'kg', pack: '1' }],
    kitchen: { freezerMl: 9000 * households, pots: 3 * households, minutes: 110 * households },
    beyond: '40',
  };
}
