import type { Topic } from '@frostmoot/contract';
import { useMutation, useQueryClient } from '@tanstack/react-query';
import { useRef } from 'react';
import { isProblem } from './client.ts';
import type { ApiProblem } from './problem.ts';
import { readAgain } from './read-again.ts';

interface Write<Variables, Data> {
  /** The call; pass `headers` on so that a second press after a lost connection is the same write and not a new one. */
  write: (variables: Variables, headers: { 'Idempotency-Key': string }) => Promise<Data>;
  /** Topics whose queries are read again afterwards (see live-updates). */
  topics?: readonly Topic[];
  onSuccess?: (data: Data, variables: Variables) => void | Promise<void>;
}

/** A write by the person at the screen: `{ mutate, mutateAsync, isPending, problem, reset }`. */
export function useWrite<Variables = void, Data = unknown>(options: Write<Variables, Data>) {
  const queryClient = useQueryClient();
  const unanswered = useRef<{ body: string; key: string } | null>(null);
  const mutation = useMutation<Data, Error, Variables>({
    mutationFn: async (variables) => {
      const body = JSON.stringify(variables) ?? '';
      const key = unanswered.current?.body === body ? unanswered.current.key : crypto.randomUUID();
      unanswered.current = { body, key };
      try {
        const data = await options.write(variables, { 'Idempotency-Key': key });
        unanswered.current = null;
        return data;
      } catch (error) {
        // Only without an answer is it unknown whether the write took effect; a refusal ends it.
        if (!isProblem(error, 'unreachable')) unanswered.current = null;
        throw error;
      }
    },
    onSuccess: async (data, variables) => {
      await readAgain(queryClient, options.topics ?? []);
      await options.onSuccess?.(data, variables);
    },
  });
  const problem: ApiProblem | null = isProblem(mutation.error) ? mutation.error : null;
  return { ...mutation, problem };
}
