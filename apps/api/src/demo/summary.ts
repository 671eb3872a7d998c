import type { z } from 'zod';
import type { accounts, buying, cooperative, me, roundList, shareOut } from '@frostmoot/contract';
import { formatMinor, rational } from '@frostmoot/calc';
import type { DemoClient } from './demo-client.ts';
import type { DemoAccount } from './scenario.ts';

type Buying = z.infer<typeof buying>;

/** The round of the demo cooperative that is being shared out, in words that `npm start` prints. */
export interface DemoSummary {
  accounts: { name: string; email: string; password: string; roles: string[]; household: string }[];
  round: string;
  buy: { lines: { seller: string; item: string; packs: number; total: string }[]; total: string };
  pays: { household: string; amount: string }[];
  gets: { household: string; portions: string; dishes: string[] }[];
  due: { from: string; to: string; amount: string }[];
}

/** Reads it through the API as the coordinator. */
export async function summarise(client: DemoClient, people: DemoAccount[]): Promise<DemoSummary> {
  const coordinator = people.find(({ roles }) => roles.includes('coordinator'));
  if (!coordinator) throw new Error('No demo account is a coordinator');
  const who = await client.post<z.infer<typeof me>>('/sign-in', {
    email: coordinator.email,
    password: coordinator.password,
  });
  const base = `/cooperatives/${who.memberships[0]?.cooperativeId}`;
  const { currency } = await client.get<z.infer<typeof cooperative>>(base);
  const money = (minor: string | bigint): string => `${currency} ${formatMinor(BigInt(minor), currency)}`;
  const { items } = await client.get<z.infer<typeof roundList>>(`${base}/rounds`);
  const round = items.find(({ stage }) => stage === 'sharing') ?? items[0];
  if (!round) throw new Error('The demo cooperative has no round');
  const bought = await client.get<Buying>(`${base}/rounds/${round.id}/buying`);
  const shared = await client.get<z.infer<typeof shareOut>>(`${base}/rounds/${round.id}/share-out`);
  const books = await client.get<z.infer<typeof accounts>>(`${base}/accounts`);
  return {
    accounts: people.map(({ displayName, email, password, roles, householdName }) => ({
      name: displayName,
      email,
      password,
      roles,
      household: householdName,
    })),
    round: `round ${round.number}`,
    buy: {
      lines: bought.lists.flatMap((list) => linesOf(list, money)),
      total: money(bought.plannedMinor),
    },
    pays: [...paysOf(bought)].map(([household, minor]) => ({ household, amount: money(minor) })),
    gets: shared.parts.map(({ household, received, containers }) => ({
      household: household.name,
      portions: rational.toDecimal(rational.parse(received), 0),
      dishes: [...new Set(containers.map(({ dish }) => dish))],
    })),
    due: books.paymentsDue.map(({ from, to, amountMinor }) => ({
      from: from.name,
      to: to.name,
      amount: money(amountMinor),
    })),
  };
}

function linesOf({ seller, feeMinor, lines }: Buying['lists'][number], money: (minor: string) => string) {
  const goods = lines.map(({ label, packs, plannedMinor }) => ({
    seller: seller.name,
    item: label,
    packs,
    total: money(plannedMinor),
  }));
  const fee = { seller: seller.name, item: 'delivery', packs: 1, total: money(feeMinor) };
  return feeMinor === '0' ? goods : [...goods, fee];
}

function paysOf({ receipts }: Buying): Map<string, bigint> {
  const totals = new Map<string, bigint>();
  for (const { household, amountMinor } of receipts.flatMap(({ lines }) => lines.flatMap(({ split }) => split))) {
    totals.set(household.name, (totals.get(household.name) ?? 0n) + BigInt(amountMinor));
  }
  return new Map([...totals].sort(([a], [b]) => (a < b ? -1 : 1)));
}
