import { useQueryClient, type QueryKey } from '@tanstack/react-query';
import { useRef } from 'react';
import { ifMatch, isProblem } from '../../lib/api/client.ts';

/**
 * The version that a form was begun from goes with its change, so that what somebody else changed meanwhile is not overwritten unseen. After
 * the refusal that says so, the newest one goes with the next try, since what is there now is then in sight.
 */
export function useKnownVersion(latest: number, queryKey: QueryKey) {
  const queryClient = useQueryClient();
  const known = useRef<number | null>(latest);
  return async <Data>(call: (header: { 'If-Match': string }) => Promise<Data>): Promise<Data> => {
    try {
      const data = await call(ifMatch(known.current ?? latest));
      known.current = null;
      return data;
    } catch (error) {
      if (isProblem(error, 'precondition-failed')) {
        known.current = null;
        await queryClient.invalidateQueries({ queryKey });
      }
      throw error;
    }
  };
}
