import type { Rational } from '../rational.ts';
import { rational } from '../rational.ts';
import type { ContainerState } from './container-end.ts';

/** What of a container counts towards a total. */
export interface StockItem {
  state: ContainerState;
  portions: number;
  millilitres: number | null;
}

export interface StockTotal {
  /** of the sealed ones whose volume is known */
  litres: Rational;
  portionsSealed: number;
  portionsEaten: number;
  portionsThrownAway: number;
}

const portionsIn = (items: readonly StockItem[], state: ContainerState): number =>
  items.filter((item) => item.state === state).reduce((sum, { portions }) => sum + portions, 0);

/** Adds up what is in a freezer and what became of the rest; lost and recalled containers count as neither eaten nor thrown away. */
export function stockTotal(items: readonly StockItem[]): StockTotal {
  const millilitres = items
    .filter(({ state }) => state === 'sealed')
    .reduce((sum, item) => sum + (item.millilitres ?? 0), 0);
  return {
    litres: rational(BigInt(millilitres), 1000n),
    portionsSealed: portionsIn(items, 'sealed'),
    portionsEaten: portionsIn(items, 'eaten'),
    portionsThrownAway: portionsIn(items, 'thrown-away'),
  };
}
