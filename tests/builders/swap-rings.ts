import type { swapBoard, swapOffers, swapRing, swapWish } from '@frostmoot/contract';
import type { z } from 'zod';
import { RingSearchService } from '../../apps/api/src/swaps/ring-search.service.ts';
import type { Answer, Api } from '../api/harness.ts';
import type { BuiltCooperative } from './cooperative.ts';

export type Ring = z.infer<typeof swapRing> & { code?: string; params?: Record<string, string> };
export type Board = z.infer<typeof swapBoard>;
type Offers = z.infer<typeof swapOffers>;
type Wish = z.infer<typeof swapWish> & { code?: string; params?: Record<string, string> };

/** What households do on their boards of swaps, each as itself. */
export class Swappers {
  constructor(
    readonly api: Api,
    readonly cooperative: BuiltCooperative,
  ) {}

  board(name: string): Promise<Board> {
    return this.cooperative.household(name).client.ok('GET', `${this.cooperative.path}/swaps`);
  }

  offer(name: string, ...containerIds: string[]): Promise<Answer<Offers & { code?: string }>> {
    const { client, id } = this.cooperative.household(name);
    return client.call('POST', `${this.cooperative.path}/swap-offers`, { householdId: id, containerIds });
  }

  wish(name: string, recipeId: string, containers = 1, score = 2): Promise<Answer<Wish>> {
    const { client, id } = this.cooperative.household(name);
    return client.call('POST', `${this.cooperative.path}/swap-wishes`, {
      householdId: id,
      recipeId,
      containers,
      score,
    });
  }

  /** Looks for rings, as the coordinator, and gives the ids of the new ones. */
  search(): Promise<string[]> {
    const [first] = this.cooperative.households;
    return this.api.app.get(RingSearchService).search({
      cooperativeId: this.cooperative.id,
      personId: first?.personId ?? '',
      householdId: first?.id ?? '',
      roles: ['coordinator'],
      displayName: 'Somebody',
    });
  }

  async ring(name: string, ringId: string): Promise<Ring> {
    const { rings, endedRings } = await this.board(name);
    const found = [...rings, ...endedRings].find(({ id }) => id === ringId);
    if (!found) throw new Error(`${name} is not in the ring ${ringId}`);
    return found;
  }

  /** An answer from what the household last read, unless told what that was. */
  async answer(
    name: string,
    ringId: string,
    answer: 'accept' | 'decline' = 'accept',
    version?: number,
  ): Promise<Answer<Ring>> {
    const { client, id } = this.cooperative.household(name);
    const ifMatch = version ?? (await this.ring(name, ringId)).version;
    const path = `${this.cooperative.path}/swap-rings/${ringId}/answer`;
    return client.call('POST', path, { householdId: id, answer }, { ifMatch });
  }
}
