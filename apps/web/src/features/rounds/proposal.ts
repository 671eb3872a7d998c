import type { DishProposal } from '@frostmoot/contract';
import { queryOptions } from '@tanstack/react-query';
import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useKeptState } from '../../lib/kept-state.ts';
import { useCooperativeId } from '../../lib/session.tsx';
import { isOpen, useJob, type Job } from '../../lib/use-job.ts';
import type { Round } from '../../lib/round-stage.ts';
import type { WantedDish } from './dish-draft.ts';

export type Proposal = DishProposal;
type AskedDishes = Schemas['ProposeDishes'];
type Offer = Schemas['Offer'];

/**
 * Asks for dishes and batches; nothing is changed by it. The work goes on when the dialog is closed, and is found again until the round changes: its job is
 * remembered by this tab.
 */
export function useProposal({ id: roundId, version }: Round) {
  const cooperativeId = useCooperativeId();
  const [subjectId, remember] = useKeptState<string | null>(`proposal.${roundId}`, () => null, String(version));
  const work = useJob('dish-proposal', subjectId);
  const [started, setStarted] = useState<Job | null>(null);
  const job = work.job ?? (started?.subjectId === subjectId ? started : null);
  const ask = useWrite<AskedDishes, Job>({
    write: (body, headers) =>
      ok<Job>(
        api.POST('/api/cooperatives/{cooperativeId}/rounds/{roundId}/dish-proposals', {
          params: { path: { cooperativeId, roundId } },
          body,
          headers,
        }),
      ),
    topics: ['jobs'],
    onSuccess: (begun) => {
      setStarted(begun);
      remember(() => begun.subjectId);
    },
  });
  const isWorking = ask.isPending || (job !== null && isOpen(job));
  // The API says what the answer of this kind of job is.
  const proposal = isWorking ? null : ((job?.answer ?? null) as Proposal | null);
  return { ask, job, stop: work.stop, isWorking, proposal };
}

/** Packs in which an ingredient is sold, so that nobody types a pack that is known already. */
export const packsQuery = (cooperativeId: string, ingredientId: string) =>
  queryOptions({
    queryKey: ['buying', cooperativeId, 'offers', ingredientId],
    meta: { topics: ['buying', 'recipes'] },
    enabled: ingredientId !== '',
    queryFn: async () => {
      const params = { path: { cooperativeId }, query: { ingredientId } };
      return (await ok<{ items: Offer[] }>(api.GET('/api/cooperatives/{cooperativeId}/offers', { params }))).items;
    },
  });

/** The offers that hold on a day. */
export const offersOn = (offers: readonly Offer[], day: string): Offer[] =>
  offers.filter(({ validFrom, validTo }) => validFrom <= day && (validTo === null || validTo >= day));

/** The proposed dishes as the plan takes them; those that are there already keep their places. */
export function wantedOfProposal(before: readonly WantedDish[], { dishes }: Pick<Proposal, 'dishes'>): WantedDish[] {
  const batches = new Map(dishes.map((dish) => [dish.recipeId, dish.batches]));
  const kept = before.filter(({ recipeId }) => batches.has(recipeId)).map(({ recipeId }) => recipeId);
  const added = dishes.map(({ recipeId }) => recipeId).filter((recipeId) => !kept.includes(recipeId));
  return [...kept, ...added].map((recipeId) => ({ recipeId, batches: batches.get(recipeId) ?? 0 }));
}
