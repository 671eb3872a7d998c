import type { Outcome } from './run.ts';
import type { MethodName } from './methods.ts';
import { settingWords } from './page.ts';
import { rounds } from './setting.ts';

const [width, height, left, right, top, bottom] = [860, 420, 70, 150, 60, 50];
const looks: Record<MethodName, { colour: string; dash: string }> = {
  'by dish': { colour: '#8a3b12', dash: '2 4' },
  picking: { colour: '#5b4a8a', dash: '9 5' },
  ours: { colour: '#0b5c6b', dash: '' },
};
const ticks = [0.1, 0.3, 1, 3, 10, 30, 100, 300, 1000];

const x = (round: number): number => left + ((round - 1) / (rounds - 1)) * (width - left - right);
const y = (portions: number): number => {
  const part = Math.log(Math.max(portions, 0.1) / 0.1) / Math.log(1000 / 0.1);
  return height - bottom - part * (height - top - bottom);
};
const at = (value: number): string => value.toFixed(1);

/** The worst deviation after each round, one line for each method, with its name at the end of the line. */
export function picture(outcomes: readonly Outcome[]): string {
  const shown = outcomes.find(
    ({ setting }) =>
      setting.households === 20 && setting.excluding && setting.changing && setting.containers === 'mixed',
  );
  if (!shown) throw new Error('The setting of the picture has not been simulated.');
  const names = Object.keys(looks) as MethodName[];
  const grid = ticks.map(
    (tick) =>
      `<line x1="${left}" y1="${at(y(tick))}" x2="${width - right}" y2="${at(y(tick))}" stroke="${tick === 1 ? '#444' : '#ddd'}"/>` +
      `<text x="${left - 8}" y="${at(y(tick) + 4)}" text-anchor="end">${tick}</text>`,
  );
  const weeks = [1, 13, 26, 39, 52].map(
    (round) => `<text x="${at(x(round))}" y="${height - bottom + 20}" text-anchor="middle">${round}</text>`,
  );
  const ends = names.map((name) => shown.years[name].byRound.map(({ n, d }) => Number(n) / Number(d)));
  // Names of lines that end close together stand one below the other.
  let above = 0;
  const labelled = names
    .map((name, i) => ({ name, values: ends[i] ?? [], last: ends[i]?.at(-1) ?? 0 }))
    .sort((one, other) => other.last - one.last)
    .map((line) => {
      above = Math.max(y(line.last) + 4, above + 16);
      return { ...line, label: above };
    });
  const lines = labelled.map(({ name, values, last, label }) => {
    const { colour, dash } = looks[name];
    const points = values.map((value, i) => `${at(x(i + 1))},${at(y(value))}`).join(' ');
    return (
      `<polyline points="${points}" fill="none" stroke="${colour}" stroke-width="2.5" stroke-dasharray="${dash}"/>` +
      `<text x="${width - right + 8}" y="${at(label)}" fill="${colour}" font-weight="bold">${name}, ${last.toFixed(2)}</text>`
    );
  });
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" font-family="sans-serif" font-size="13" role="img" aria-label="Worst deviation from what was due, after each round, by three methods">
<rect width="${width}" height="${height}" fill="#fff"/>
<text x="${left}" y="24" font-size="16" font-weight="bold">Portions that the household worst off is away from what was due so far</text>
<text x="${left}" y="44" fill="#555">${settingWords(shown.setting)}; each step up is about threefold</text>
${[...grid, ...weeks, ...lines].join('\n')}
<text x="${at((left + width - right) / 2)}" y="${height - 8}" text-anchor="middle">round</text>
</svg>
`;
}
