import { queryOptions, useQuery, useQueryClient } from '@tanstack/react-query';
import { useCallback, useMemo } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import { readAgain } from '../../lib/api/read-again.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useSession } from '../../lib/session.tsx';
import { keepWaiting, outcomeOf, useWaiting, type Outcome, type Waiting } from '../../lib/waiting.ts';
import type { Kitchen } from './yield-draft.ts';

export type RunSheet = Schemas['RunSheet'];
export type RunStep = Schemas['RunSheetStep'];
export type EnterStep = Schemas['EnterStepDone'];

export const runSheetQuery = (cooperativeId: string, cookDayId: string) =>
  queryOptions({
    queryKey: ['run-sheet', cooperativeId, cookDayId],
    meta: { topics: ['kitchen', 'rounds', 'recipes', 'households'] },
    queryFn: () =>
      ok<RunSheet>(
        api.GET('/api/cooperatives/{cooperativeId}/cook-days/{cookDayId}/run-sheet', {
          params: { path: { cooperativeId, cookDayId } },
        }),
      ),
  });

/** The cook day that the kitchen is about: today's or the next, else the last. */
export const cookDayOf = ({ cookDays }: Kitchen, today: string): Kitchen['cookDays'][number] | undefined =>
  cookDays.find(({ date }) => date >= today) ?? cookDays.at(-1);

/** The server's done steps with those on top that wait on this device. */
function withWaiting(
  sheet: RunSheet,
  waiting: readonly Waiting[],
  household: RunSheet['done'][number]['household'],
): RunSheet {
  const done = new Map(sheet.done.map((entry) => [entry.key, entry]));
  for (const { kind, target, body, refused } of waiting) {
    if (kind !== 'step-done' || target !== sheet.cookDayId || refused !== undefined) continue;
    const { step, act, at } = body as unknown as EnterStep;
    if (act === 'done') done.set(step, { key: step, at, household });
    else done.delete(step);
  }
  return { ...sheet, done: [...done.values()] };
}

/** The kitchen's cooling logs with the readings that wait on this device. */
export function withWaitingReadings(
  kitchen: Kitchen,
  waiting: readonly Waiting[],
  household: RunSheet['done'][number]['household'],
): Kitchen {
  const readings = waiting.filter(({ kind, refused }) => kind === 'reading' && refused === undefined);
  if (readings.length === 0) return kitchen;
  const batches = kitchen.batches.map((batch) => {
    const own = readings.filter(({ target }) => target === batch.id);
    const [first] = own.map(({ body }) => body as Schemas['EnterReading']);
    if (!first) return batch;
    const log = batch.cooling ?? {
      rule: first.rule,
      startedAt: first.startedAt,
      readings: [],
      verdict: 'due' as const,
      stages: [],
      next: { code: 'measure' as const, by: null },
    };
    const more = own.map(({ key, body }) => {
      const { measuredAt, celsius, replaces = null, reason = '' } = body as Schemas['EnterReading'];
      return { id: key, measuredAt, celsius, household, replaces, replacedBy: null, reason };
    });
    const replacedBy = new Map(more.map((each) => [each.replaces, each.id]));
    const known = log.readings.map((each) => ({
      ...each,
      replacedBy: each.replacedBy ?? replacedBy.get(each.id) ?? null,
    }));
    return { ...batch, cooling: { ...log, readings: [...known, ...more] } };
  });
  return { ...kitchen, batches };
}

/** The run sheet as this device knows it, and how to enter a step: shown at once, sent when it can be. */
export function useRunSheet(cookDayId: string | undefined) {
  const { cooperativeId, me, householdId, householdName } = useSession();
  const query = useQuery({ ...runSheetQuery(cooperativeId, cookDayId ?? ''), enabled: cookDayId !== undefined });
  const personId = me.personId;
  const waiting = useWaiting(personId);
  const sheet = useMemo(
    () => query.data && withWaiting(query.data, waiting, { id: householdId, name: householdName }),
    [query.data, waiting, householdId, householdName],
  );
  const enter = (step: string, act: EnterStep['act']) => {
    if (cookDayId === undefined) return;
    const body = { step, act, at: new Date().toISOString() };
    keepWaiting({ personId, cooperativeId, kind: 'step-done', target: cookDayId, body });
  };
  return { query, sheet, enter };
}

/** How what was entered in the kitchen is sent from this device. */
export function useKitchenSender(): (entry: Waiting) => Promise<Outcome> {
  const client = useQueryClient();
  return useCallback(
    async ({ cooperativeId, kind, target, body, key }: Waiting): Promise<Outcome> => {
      const headers = { 'Idempotency-Key': key };
      try {
        if (kind === 'step-done') {
          const sheet = await ok<RunSheet>(
            api.POST('/api/cooperatives/{cooperativeId}/cook-days/{cookDayId}/steps-done', {
              params: { path: { cooperativeId, cookDayId: target } },
              body: body as EnterStep,
              headers,
            }),
          );
          const { queryKey } = runSheetQuery(cooperativeId, target);
          client.setQueryData(queryKey, sheet);
          // A reading that was under way may be older than this answer, and must not put a step back.
          void client.invalidateQueries({ queryKey });
        } else if (kind === 'lot') {
          await ok(
            api.POST('/api/cooperatives/{cooperativeId}/batches/{batchId}/lots', {
              params: { path: { cooperativeId, batchId: target } },
              body: body as Schemas['TellBatchLots'],
              headers,
            }),
          );
          await readAgain(client, ['kitchen', 'recalls']);
        } else {
          await ok(
            api.POST('/api/cooperatives/{cooperativeId}/batches/{batchId}/readings', {
              params: { path: { cooperativeId, batchId: target } },
              body: body as Schemas['EnterReading'],
              headers,
            }),
          );
          await readAgain(client, ['kitchen']);
        }
        return 'sent';
      } catch (error) {
        return outcomeOf(error);
      }
    },
    [client],
  );
}
