import { queryOptions } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';

export { accountsQuery, type Accounts } from '../../lib/accounts-query.ts';
export type PaymentDue = Schemas['PaymentDue'];
export type Statement = Schemas['Statement'];
export type StatementLine = Schemas['StatementLine'];
export type Book = Statement['book'];
export type PortionRounds = Schemas['PortionRounds'];
type Named = PaymentDue['from'];

/** What a payment is recorded from; a household is null until it is chosen. */
export interface PaymentDraft {
  from: Named | null;
  to: Named | null;
  amountMinor: string | null;
}

/** One household's book, oldest first. */
export const statementQuery = (cooperativeId: string, householdId: string, book: Book) =>
  queryOptions({
    queryKey: ['accounts', cooperativeId, householdId, book],
    meta: { topics: ['accounts', 'buying', 'share-outs', 'swaps', 'rota'] },
    queryFn: () =>
      ok<Statement>(
        api.GET('/api/cooperatives/{cooperativeId}/accounts/{householdId}/statement', {
          params: { path: { cooperativeId, householdId }, query: { book } },
        }),
      ),
  });

/** One household's portions by round. */
export const portionRoundsQuery = (cooperativeId: string, householdId: string) =>
  queryOptions({
    queryKey: ['accounts', cooperativeId, householdId, 'rounds'],
    meta: { topics: ['accounts', 'share-outs', 'swaps'] },
    queryFn: () =>
      ok<PortionRounds>(
        api.GET('/api/cooperatives/{cooperativeId}/accounts/{householdId}/portions', {
          params: { path: { cooperativeId, householdId } },
        }),
      ),
  });
