import { Injectable } from '@nestjs/common';
import type { RunSheetResult } from '@frostmoot/calc';
import { DomainError } from '@frostmoot/calc';
import type { Prisma } from '../generated/prisma/client.ts';
import { newId } from '../platform/db/ids.ts';
import { json } from '../platform/db/json.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

const named = { select: { id: true, name: true } } as const;

const withTeam = {
  kitchen: { select: { id: true, name: true, hobs: true, ovens: true, potsLitres: true, benchPeople: true } },
  turns: { include: { household: named }, orderBy: { household: { name: 'asc' } } },
} satisfies Prisma.CookDayInclude;

export type CookDayRow = Prisma.CookDayGetPayload<{ include: typeof withTeam }>;
export type StepDoneRow = Prisma.StepDoneGetPayload<{ include: { household: typeof named } }>;

export interface KeptSheet {
  id: string;
  input: unknown;
  result: RunSheetResult;
  createdAt: Date;
}

/** Cook days with their kitchen and team, the run sheets worked out for them, and the steps that were done. */
@Injectable()
export class RunSheetsRepository {
  async cookDay(tx: Tx, { cooperativeId }: Scope, id: string): Promise<CookDayRow> {
    const row = await tx.cookDay.findUnique({
      where: { cooperativeId_id: { cooperativeId, id } },
      include: withTeam,
    });
    if (!row) throw new DomainError('not-found', 'There is no such cook day');
    return row;
  }

  async setPeople(tx: Tx, { cooperativeId }: Scope, id: string, people: number | null): Promise<void> {
    await tx.cookDay.update({
      where: { cooperativeId_id: { cooperativeId, id } },
      data: { people, version: { increment: 1 } },
    });
  }

  async newest(tx: Tx, { cooperativeId }: Scope, cookDayId: string): Promise<KeptSheet | null> {
    const row = await tx.runSheet.findFirst({
      where: { cooperativeId, cookDayId },
      orderBy: [{ createdAt: 'desc' }, { id: 'desc' }],
    });
    return row && { ...row, result: row.result as unknown as RunSheetResult };
  }

  async keep(
    tx: Tx,
    { cooperativeId }: Scope,
    sheet: { cookDayId: string; input: object; result: RunSheetResult; createdBy: string },
  ): Promise<void> {
    const { result } = sheet;
    await tx.runSheet.create({
      data: {
        cooperativeId,
        id: newId(),
        ...sheet,
        input: json(sheet.input),
        result: json(result),
        proof: result.proof,
      },
    });
  }

  async enterStep(
    tx: Tx,
    { cooperativeId }: Scope,
    step: { cookDayId: string; stepKey: string; act: string; doneAt: Date; householdId: string; createdBy: string },
  ): Promise<void> {
    await tx.stepDone.create({ data: { cooperativeId, id: newId(), ...step } });
  }

  /** Every step that counts as done: whose latest row by its own time says so. */
  async done(tx: Tx, { cooperativeId }: Scope, cookDayId: string): Promise<StepDoneRow[]> {
    const rows = await tx.stepDone.findMany({
      where: { cooperativeId, cookDayId },
      include: { household: named },
      orderBy: [{ doneAt: 'asc' }, { id: 'asc' }],
    });
    const last = new Map(rows.map((row) => [row.stepKey, row]));
    return [...last.values()].filter(({ act }) => act === 'done');
  }
}
