import { reachedBy, recallCounts, worstFirst } from '@frostmoot/calc';
import type { recall } from '@frostmoot/contract';
import type { z } from 'zod';
import type { RecalledContainer, RecallsRepository, Source, TracedBatch } from './recalls.repository.ts';

export type RecallAnswerView = z.infer<typeof recall>;
type Report = NonNullable<RecallAnswerView['report']>;
type RecallRow = NonNullable<Awaited<ReturnType<RecallsRepository['find']>>>;
type Told = Awaited<ReturnType<RecallsRepository['told']>>;
export type Members = Awaited<ReturnType<RecallsRepository['members']>>;

/** The most containers that a report lists; its counts are of all. */
const LISTED = 2000;

export function headOf(row: RecallRow, names: ReadonlyMap<string, string>) {
  return {
    id: row.id,
    drill: row.drill,
    source: row.source as Source,
    what: row.what,
    lotCode: row.lotCode,
    reason: row.reason,
    reference: row.reference,
    createdAt: row.createdAt.toISOString(),
    createdBy: names.get(row.createdBy) ?? '',
    closedAt: row.closed?.createdAt.toISOString() ?? null,
    closedWords: row.closed?.words ?? null,
  };
}

/** The coordinator's report: who is not reached first, then what became of every container. */
export function reportOf(
  batches: TracedBatch[],
  containers: RecalledContainer[],
  told: Told,
  members: Members,
): Report {
  const groups = new Map<string, RecalledContainer[]>();
  for (const container of containers) {
    const key = container.household?.id ?? '';
    const group = groups.get(key);
    if (group) group.push(container);
    else groups.set(key, [container]);
  }
  const households = [...groups.values()].map((own) => householdOf(own, told, members));
  const name = (row: Report['households'][number]): string => row.household?.name ?? '';
  households.sort((a, b) => worstFirst({ state: a.state, name: name(a) }, { state: b.state, name: name(b) }));
  return { batches, containers: containers.slice(0, LISTED), households, counts: recallCounts(containers) };
}

function householdOf(own: RecalledContainer[], told: Told, members: Members): Report['households'][number] {
  const household = own[0]?.household ?? null;
  const { all, portions, ...counts } = recallCounts(own);
  // What nobody holds is for coordinators, who know of it.
  const here = members.filter(({ householdId, roles }) =>
    household ? householdId === household.id : roles.includes('coordinator'),
  );
  const names = new Map(here.map(({ person }) => [person.id, person.displayName]));
  const notices = told.filter(({ householdId }) => householdId === household?.id);
  const seenBy = notices.flatMap(({ seen }) =>
    seen.map(({ personId, seenAt }) => ({ name: names.get(personId) ?? '', at: seenAt.toISOString() })),
  );
  const mailedAt = notices.flatMap(({ mails }) => mails.map((mail) => mail.mailedAt.toISOString())).sort()[0] ?? null;
  return {
    household,
    people: [...names.values()],
    containers: all,
    portions,
    state: reachedBy({ none: counts.none, seen: seenBy.length > 0 || household === null, mailed: mailedAt !== null }),
    mailedAt,
    seenBy,
    ...counts,
  };
}
