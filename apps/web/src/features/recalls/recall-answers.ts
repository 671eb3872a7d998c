import { useQueryClient } from '@tanstack/react-query';
import { useCallback } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import { readAgain } from '../../lib/api/read-again.ts';
import { useSession } from '../../lib/session.tsx';
import { keepWaiting, outcomeOf, useWaiting, type Outcome, type Waiting } from '../../lib/waiting.ts';
import { recallQuery, type Recall, type RecalledContainer } from './recall-query.ts';
import type { Answers } from './use-recall.ts';

/** My household's part of a recall with the answers on top that wait on this device, and how to answer: shown at once, sent when it can be. */
export function useMyAnswers(recall: Recall) {
  const { me, cooperativeId, householdId } = useSession();
  const waiting = useWaiting(me.personId).filter(
    ({ kind, target }) => kind === 'recall-answer' && target === recall.id,
  );
  const answer = (answers: Answers['answers']) =>
    keepWaiting({
      personId: me.personId,
      cooperativeId,
      kind: 'recall-answer',
      target: recall.id,
      body: { householdId, answers } satisfies Answers,
    });
  return { mine: withWaiting(recall.mine, waiting), waiting, answer };
}

function withWaiting(mine: readonly RecalledContainer[], waiting: readonly Waiting[]): RecalledContainer[] {
  const given = new Map(
    waiting
      .filter(({ refused }) => refused === undefined)
      .flatMap(({ body }) => (body as unknown as Answers).answers)
      .map((each) => [each.containerId, each]),
  );
  return mine.map((container) => {
    const own = given.get(container.id);
    return own ? { ...container, fate: own.answer, eatenOn: own.eatenOn } : container;
  });
}

/** How an answer to a recall is sent from this device. */
export function useRecallSender(): (entry: Waiting) => Promise<Outcome> {
  const client = useQueryClient();
  return useCallback(
    async ({ cooperativeId, target: recallId, body, key }: Waiting): Promise<Outcome> => {
      try {
        const recall = await ok<Recall>(
          api.POST('/api/cooperatives/{cooperativeId}/recalls/{recallId}/answers', {
            params: { path: { cooperativeId, recallId } },
            body: body as unknown as Answers,
            headers: { 'Idempotency-Key': key },
          }),
        );
        client.setQueryData(recallQuery(cooperativeId, recallId).queryKey, recall);
        void readAgain(client, ['recalls', 'stock']);
        return 'sent';
      } catch (error) {
        return outcomeOf(error);
      }
    },
    [client],
  );
}
