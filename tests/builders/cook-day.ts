/** Numbers that look like chance and are the same every time. */
function drawing(seed: number): (least: number, most: number) => number {
  let state = (seed * 2_654_435_761) >>> 0;
  return (least, most) => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return least + Math.floor((state / 2 ** 32) * (most - least + 1));
  };
}

export interface CookDay {
  people: number;
  hobs: number;
  ovens: number;
  pots: { id: string; litres: string }[];
  steps: Record<string, unknown>[];
}

/**
 * A made-up cook day of so many steps: dishes of chopping, something on a hob or in the oven, simmering, and cooling by itself, in steps of five minutes as people write
 * them down; now and then a dish waits for a base of another.
 */
export function cookDay(seed: number, steps: number, people = 3): CookDay {
  const draw = drawing(seed * 1000 + steps);
  const fives = (least: number, most: number): number => 5 * draw(least / 5, most / 5);
  const pot = (): string => ['4', '6', '9', '10'][draw(0, 3)] ?? '4';
  const id = (dish: number, step: number): string => `d${String(dish).padStart(2, '0')}.${step}`;
  const made = Array.from({ length: steps }, (_, index) => {
    const [dish, step] = [Math.floor(index / 4), index % 4];
    const after = step > 0 ? [id(dish, step - 1)] : [];
    const isOven = draw(0, 2) === 0;
    if (step === 0) return { id: id(dish, 0), active: fives(10, 40), after };
    if (step === 1) {
      const base = dish > 0 && draw(0, 3) === 0 ? [id(draw(0, dish - 1), 1)] : [];
      const heat = isOven ? { ovens: 1 } : { hobs: 1, potLitres: pot() };
      return { id: id(dish, 1), active: fives(5, 15), passive: fives(20, 50), ...heat, after: [...after, ...base] };
    }
    if (step === 2)
      return { id: id(dish, 2), active: fives(10, 20), passive: fives(15, 45), hobs: 1, potLitres: pot(), after };
    return { id: id(dish, 3), active: fives(10, 20), passive: fives(30, 90), after };
  });
  const pots = ['12', '10', '6', '4'].map((litres, index) => ({ id: `p${index}`, litres }));
  return { people, hobs: 4, ovens: 2, pots, steps: made };
}
