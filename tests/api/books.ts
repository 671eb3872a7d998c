import { withClient } from '../../tools/database.mjs';
import { brokenInvariants } from '../database/test-database.ts';
import type { Api } from './harness.ts';

/** Balances of the money book straight from the postings, by household name, `stock`, `fund` or `outside`. */
export function moneyBalances(api: Api, cooperativeId: string): Promise<Record<string, number>> {
  return withClient(api.database.ownerUrl, async (client) => {
    const { rows } = await client.query<{ name: string; amount: string }>(
      `SELECT coalesce(h.name, a.kind) AS name, sum(p.amount)::text AS amount
       FROM posting p JOIN account a ON a.cooperative_id = p.cooperative_id AND a.id = p.account_id
       LEFT JOIN household h ON h.cooperative_id = a.cooperative_id AND h.id = a.household_id
       WHERE p.cooperative_id = $1 AND a.book = 'money' GROUP BY 1`,
      [cooperativeId],
    );
    return Object.fromEntries(rows.map(({ name, amount }) => [name, Number(amount)]));
  });
}

/** What rounding has left of every household, by name. */
export function carriedOf(api: Api, cooperativeId: string): Promise<Record<string, string>> {
  return withClient(api.database.ownerUrl, async (client) => {
    const { rows } = await client.query<{ name: string; carried: string }>(
      `SELECT h.name, c.carried FROM cost_carry c
       JOIN household h ON h.cooperative_id = c.cooperative_id AND h.id = c.household_id WHERE c.cooperative_id = $1`,
      [cooperativeId],
    );
    return Object.fromEntries(rows.map(({ name, carried }) => [name, carried]));
  });
}

export const broken = (api: Api) => brokenInvariants(api.database.ownerUrl);
