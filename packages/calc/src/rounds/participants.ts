/** One row about a household in a round: it holds from its date until the household's next row. */
export interface ParticipantRow {
  householdId: string;
  /** ISO 8601 local date */
  fromDate: string;
}

const byDate = (a: ParticipantRow, b: ParticipantRow): number => (a.fromDate < b.fromDate ? -1 : 1);

/** The date of the round's first rows, which hold from its beginning; undefined when there is none. */
export const startOfRound = (rows: readonly ParticipantRow[]): string | undefined =>
  rows.map(({ fromDate }) => fromDate).sort()[0];

/**
 * The rows in force on a date, one for each household that is in the round by then.
 * Our decision: of a household's rows the latest whose date has come; the rows of the round's start hold before it as well, since what was bought
 * for a round before it was written down is bought for those it was meant for. `rows`: any order, at most one per household and date.
 */
export function participantsOn<T extends ParticipantRow>(rows: readonly T[], date: string): T[] {
  const start = startOfRound(rows);
  const inForce = new Map<string, T>();
  for (const row of [...rows].sort(byDate)) {
    if (row.fromDate <= date || row.fromDate === start) inForce.set(row.householdId, row);
  }
  return [...inForce.values()];
}
