import { drawer } from '../builders/share-out-instance.ts';

/** What a year of rounds is simulated with. */
export interface Setting {
  households: number;
  /** some may not eat some dishes */
  excluding: boolean;
  /** households are away for a round, come later or leave, and batches come out short with a last container that is not full */
  changing: boolean;
  containers: keyof typeof sizesOf;
}

/** Portions in one container. */
export const sizesOf = { mixed: [2, 3, 4], even: [2, 4], sixes: [6] } as const;

export interface RoundMember {
  id: string;
  weight: string;
  excludes: string[];
}
export interface RoundLot {
  id: string;
  dish: string;
  containers: number;
  portions: number;
}
export interface Round {
  members: RoundMember[];
  lots: RoundLot[];
}

export const rounds = 52;
const weights = ['1', '3/2', '2', '5/2', '3', '7/2', '4', '5', '19/5'];
const dishNames = ['beans', 'broth', 'curry', 'dal', 'lasagne', 'pie', 'ragout', 'stew'];

/** A year of rounds, the same for the same setting. */
export function yearOf({ households, excluding, changing, containers }: Setting): Round[] {
  const draw = drawer(households * 8 + (excluding ? 4 : 0) + (changing ? 2 : 0) + containers.length * 1000);
  const sizes = sizesOf[containers];
  const all = Array.from({ length: households }, (_, h) => ({
    id: `h${String(h + 1).padStart(2, '0')}`,
    weight: weights[draw(weights.length)] ?? '1',
    excludes: excluding && draw(100) < 30 ? dishNames.filter(() => draw(100) < 25) : [],
  }));
  return Array.from({ length: rounds }, (_, r) => {
    const members = changing
      ? all.filter((__, h) => draw(100) >= 12 && !(h === 0 && r < 13) && !(h === 1 && r >= 39))
      : all;
    const heads = members.reduce((total, { weight }) => total + headsOf(weight), 0);
    const first = draw(dishNames.length);
    const lots = Array.from(
      { length: 4 },
      (__, d) => dishNames[(first + 2 * d + (d > 1 ? 1 : 0)) % dishNames.length] ?? '',
    )
      .filter((dish, d, list) => list.indexOf(dish) === d)
      .flatMap((dish, d): RoundLot[] => {
        const portions = sizes[(r + d + draw(sizes.length)) % sizes.length] ?? 2;
        const planned = Math.max(2, Math.round((heads * (8 + draw(5))) / 10 / portions));
        const made = changing ? Math.max(1, Math.floor((planned * (100 - draw(20))) / 100)) : planned;
        const rest = changing && containers === 'mixed' && portions > 1 ? 1 + draw(portions - 1) : 0;
        return [
          { id: `${dish} full`, dish, containers: made, portions },
          ...(rest > 0 && rest !== portions ? [{ id: `${dish} rest`, dish, containers: 1, portions: rest }] : []),
        ];
      });
    return { members, lots };
  });
}

function headsOf(weight: string): number {
  const [n = '1', d = '1'] = weight.split('/');
  return Number(n) / Number(d);
}
