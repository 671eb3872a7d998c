import { drawer } from './share-out-instance.ts';

/** A made-up rota of so many households and weeks: teams of two to four, absences, gaps, skills and pots; the same for the same number. */
export function rotaInstance(seed: number, households: number, weeks: number) {
  const draw = drawer(seed);
  const dishes = ['soup', 'stew', 'pie', 'curry', 'bake'];
  const weekIds = Array.from({ length: weeks }, (_, w) => `w${String(w + 1).padStart(3, '0')}`);
  const members = Array.from({ length: households }, (_, h) => ({
    id: `h${h}`,
    weight: ['1', '2', '5/2', '3', '4'][draw(5)] ?? '1',
    owedTurns: draw(4) === 0 ? '1/2' : '0',
    away: weekIds.filter(() => draw(100) < 10),
    skills: dishes.filter(() => draw(100) < 60),
    potLitres: ['5', '8', '12'][draw(3)] ?? '5',
    minGap: households >= 8 ? draw(2) : 0,
  }));
  return {
    weeks: weekIds.map((id) => ({
      id,
      team: 2 + draw(Math.min(3, Math.max(1, households - 4))),
      litres: draw(2) === 0 ? '10' : '0',
      dishes: [dishes[draw(dishes.length)] ?? 'soup'],
    })),
    households: members,
    kept: [],
  };
}
