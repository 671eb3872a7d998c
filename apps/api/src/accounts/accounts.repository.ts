import { Injectable } from '@nestjs/common';
import type { Book, PortionMove } from '@frostmoot/calc';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export interface HouseholdBalances {
  id: string;
  name: string;
  money: bigint;
  portions: bigint;
  turns: bigint;
  carried: string;
}

/** One posting on a household's account with the entry that it belongs to, and the balance up to and including it. */
export interface StatementRow {
  entry_id: string;
  kind: string;
  occurred_on: string;
  reason: string;
  entry_facts: Record<string, unknown>;
  posting_facts: Record<string, unknown>;
  amount: bigint;
  balance: bigint;
  reverses_id: string | null;
  reversed: boolean;
  document_id: string | null;
  round_number: number | null;
  by: string | null;
  created_at: Date;
}

/** Reads the books. */
@Injectable()
export class AccountsRepository {
  balances(tx: Tx, scope: Scope): Promise<HouseholdBalances[]> {
    return tx.$queryRaw<HouseholdBalances[]>`
      SELECT h.id::text, h.name, coalesce(m.balance, 0) AS money, coalesce(p.balance, 0) AS portions, coalesce(t.balance, 0) AS turns, coalesce(c.carried, '0') AS carried
      FROM household h
      LEFT JOIN account m ON m.cooperative_id = h.cooperative_id AND m.household_id = h.id AND m.book = 'money'
      LEFT JOIN account p ON p.cooperative_id = h.cooperative_id AND p.household_id = h.id AND p.book = 'portions'
      LEFT JOIN account t ON t.cooperative_id = h.cooperative_id AND t.household_id = h.id AND t.book = 'turns'
      LEFT JOIN cost_carry c ON c.cooperative_id = h.cooperative_id AND c.household_id = h.id
      WHERE h.cooperative_id = ${scope.cooperativeId}::uuid
      ORDER BY h.name, h.id`;
  }

  currency(tx: Tx, scope: Scope): Promise<{ currency: string }> {
    return tx.cooperative.findUniqueOrThrow({ where: { id: scope.cooperativeId }, select: { currency: true } });
  }

  household(tx: Tx, scope: Scope, id: string): Promise<{ id: string; name: string } | null> {
    return tx.household.findUnique({
      where: { cooperativeId_id: { cooperativeId: scope.cooperativeId, id } },
      select: { id: true, name: true },
    });
  }

  /** What moved a household's portions, oldest first. */
  async portionMoves(tx: Tx, scope: Scope, householdId: string): Promise<PortionMove[]> {
    const rows = await tx.$queryRaw<
      { kind: PortionMove['kind']; part: string | null; amount: bigint; number: number | null }[]
    >`
      SELECT e.kind, p.facts ->> 'part' AS part, p.amount, o.number
      FROM account a
      JOIN posting p ON p.cooperative_id = a.cooperative_id AND p.account_id = a.id
      JOIN entry e ON e.cooperative_id = p.cooperative_id AND e.id = p.entry_id
      LEFT JOIN round o ON o.cooperative_id = e.cooperative_id AND o.id = e.round_id
      WHERE a.cooperative_id = ${scope.cooperativeId}::uuid AND a.household_id = ${householdId}::uuid AND a.book = 'portions'
      ORDER BY e.created_at, e.id, p.id`;
    return rows.map(({ kind, part, amount, number }) => ({
      kind,
      amount,
      roundNumber: number,
      ...(part === null ? {} : { part }),
    }));
  }

  /** Oldest first, in the order in which it was booked; entries of one transaction keep the order of their postings. */
  statement(tx: Tx, scope: Scope, householdId: string, book: Book): Promise<StatementRow[]> {
    return tx.$queryRaw<StatementRow[]>`
      SELECT e.id::text AS entry_id, e.kind, e.occurred_on::text, e.reason, e.facts AS entry_facts, p.facts AS posting_facts, p.amount,
        (sum(p.amount) OVER (ORDER BY e.created_at, e.id, p.id))::bigint AS balance, e.reverses_id::text,
        EXISTS (SELECT FROM entry r WHERE r.cooperative_id = e.cooperative_id AND r.reverses_id = e.id) AS reversed,
        e.document_id::text, o.number AS round_number, n.display_name AS by, e.created_at
      FROM account a
      JOIN posting p ON p.cooperative_id = a.cooperative_id AND p.account_id = a.id
      JOIN entry e ON e.cooperative_id = p.cooperative_id AND e.id = p.entry_id
      LEFT JOIN round o ON o.cooperative_id = e.cooperative_id AND o.id = e.round_id
      LEFT JOIN person n ON n.id = e.created_by
      WHERE a.cooperative_id = ${scope.cooperativeId}::uuid AND a.household_id = ${householdId}::uuid AND a.book = ${book}
      ORDER BY e.created_at, e.id, p.id`;
  }
}
