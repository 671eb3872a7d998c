/** How long a label must be out of sight before it counts as held up again. */
const AWAY_MS = 1500;

/** Lets a text through once for as long as it stays in sight; held up again, as after a failure, it is let through again. `now` in milliseconds. */
export function onceInSight(): (text: string, now: number) => boolean {
  let last = { text: '', at: 0 };
  return (text, now) => {
    const isNew = text !== last.text || now - last.at > AWAY_MS;
    last = { text, at: now };
    return isNew;
  };
}
