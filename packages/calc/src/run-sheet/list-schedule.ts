import type { Kitchen } from './kitchen.ts';
import type { Candidate, PartialDay } from './partial-day.ts';
import { candidates, emptyDay, withStep } from './partial-day.ts';

/** Which of two steps is put into the day first; smaller than nil for the first. */
type Rule = (a: Candidate, b: Candidate) => number;

const tie: Rule = (a, b) => a.work - b.work || a.way - b.way;

/** Rules of priority, each of which gives one day. */
function rulesFor({ works }: Kitchen): Rule[] {
  const tail = ({ work }: Candidate): number => works[work]?.tail ?? 0;
  const hands = ({ work, way }: Candidate): number => {
    const use = works[work]?.ways[way]?.uses.find(({ resource }) => resource === 0);
    return (use?.count ?? 0) * (use?.minutes ?? 0);
  };
  const followers = ({ work }: Candidate): number => works[work]?.before.length ?? 0;
  return [
    (a, b) => tail(b) - tail(a) || a.start - b.start,
    (a, b) => a.start - b.start || tail(b) - tail(a),
    (a, b) => a.start + hands(a) - b.start - hands(b) || tail(b) - tail(a),
    (a, b) => followers(b) - followers(a) || tail(b) - tail(a) || a.start - b.start,
  ];
}

/** The order in which the search tries steps: the longest chain behind it first, at the earliest start. */
export const byTail =
  ({ works }: Kitchen): Rule =>
  (a, b) =>
    (works[b.work]?.tail ?? 0) - (works[a.work]?.tail ?? 0) || a.start - b.start || tie(a, b);

/** The day that one rule gives: again and again the first of the steps that may come next. */
function dayBy(rule: Rule, kitchen: Kitchen): PartialDay {
  let day = emptyDay(kitchen);
  for (;;) {
    const [next] = candidates(kitchen, day).sort((a, b) => rule(a, b) || tie(a, b));
    if (!next) return day;
    day = withStep(kitchen, day, next);
  }
}

/** The shortest day among those of some rules of priority (a list schedule): always a day that works, not always the shortest. */
export function listSchedule(kitchen: Kitchen): PartialDay {
  const [first, ...others] = rulesFor(kitchen).map((rule) => dayBy(rule, kitchen));
  return others.reduce((best, day) => (day.length < best.length ? day : best), first ?? emptyDay(kitchen));
}
