/** A local date as Prisma takes it for a date column: midnight UTC of that day. */
export function toDate(localDate: string): Date {
  return new Date(`${localDate}T00:00:00.000Z`);
}

/** The local date of a date column. */
export function fromDate(date: Date): string {
  return date.toISOString().slice(0, 10);
}
