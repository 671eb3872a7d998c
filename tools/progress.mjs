// One line when a step begins and one when it ends, with its time; a long step says every ten seconds that it is still at work.

/**
 * @template T
 * @param {string} name what is being done, as a person would say it
 * @param {(note: (text: string) => void) => Promise<T>} work `note` replaces the last words of the closing line
 * @returns {Promise<T>}
 */
export async function step(name, work) {
  const begun = performance.now();
  let words = 'done';
  console.log(`  ${name} ...`);
  const heartbeat = setInterval(() => console.log(`  ${name}: still at work (${seconds(begun)})`), 10_000);
  try {
    const result = await work((text) => void (words = text));
    console.log(`  ${name}: ${words} (${seconds(begun)})`);
    return result;
  } finally {
    clearInterval(heartbeat);
  }
}

/** @param {number} begun */
export function seconds(begun) {
  return `${((performance.now() - begun) / 1000).toFixed(1)} s`;
}
