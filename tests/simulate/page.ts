import type { Rational } from '@frostmoot/calc';
import { rational } from '@frostmoot/calc';
import type { Outcome } from './run.ts';
import type { Setting } from './setting.ts';
import { rounds, sizesOf } from './setting.ts';

const { cmp, one, toDecimal } = rational;

/** A setting in a few words. */
export function settingWords({ households, excluding, changing, containers }: Setting): string {
  const sizes = sizesOf[containers].join(', ');
  return [
    `${households} households`,
    excluding ? 'exclusions' : 'everybody eats all',
    changing ? 'members come and go, short yields' : 'always the same',
    `containers of ${sizes}`,
  ].join('; ');
}

const row = (cells: readonly string[]): string => `| ${cells.join(' | ')} |`;

function tableRow({ setting, least, over, years }: Outcome): string {
  const short = (value: Rational): string => toDecimal(value, 2);
  const of = ({ worst, final, envious, pairs }: Outcome['years']['ours']): string =>
    `${short(worst)} / ${short(final)} / ${((100 * envious) / pairs).toFixed(1)} %`;
  const proof = over.rounds === 0 ? 'never over 1' : `${over.unavoidable} of ${over.rounds}`;
  return row([
    String(setting.households),
    setting.excluding ? 'yes' : 'no',
    setting.changing ? 'yes' : 'no',
    sizesOf[setting.containers].join(', '),
    of(years['by dish']),
    of(years.picking),
    of(years.ours),
    `${short(least)}${cmp(least, one) >= 0 ? ' (1 cannot be kept)' : ''}`,
    proof,
    over.impossible === 0 ? 'none' : String(over.impossible),
  ]);
}

/** The page about what the methods came to. */
export function page(outcomes: readonly Outcome[]): string {
  const headings = [
    'households',
    'exclusions',
    'changing',
    'containers of',
    'by dish',
    'picking',
    'ours',
    'least possible',
    'unavoidably over 1',
    'no method could',
  ];
  const lines = outcomes.map(tableRow);
  return `# How fair it stays over a year

Written by \`npm run simulate -- --write\` from made-up cooperatives; the same figures come out every time and on every machine. ${rounds} rounds each.

![The worst deviation after each round by three methods](pictures/fairness.svg)

A household's deviation is what was due to it so far, by its weight and what it may eat, less what it received so far, in portions. Each cell of a method has
three figures: the worst deviation of any household after any round; the worst one after the last round; and how many pairs of households and rounds hold a
weighted envy beyond one item, that is, one would rather have the other's part for its weight even without the best container in it (WEF1).

- **By dish**: each lot by itself, by weight and largest remainder, nothing carried: a table on the wall.
- **Picking**: whoever has picked least for its weight takes the largest container that it may eat (Chakraborty, Igarashi, Suksompong and Zick 2021). It is free
  of this envy in every round by its making, and nothing is carried.
- **Ours**: the share-out as it is (docs/methods/share-out.md), without its solver. What a round leaves owed is part of the next round's target. That is also where
  its envy comes from: who is made good gets more than its weight in that round.

**Changing**: each household is away in about every eighth round, one comes after a quarter of the year, one leaves before its last quarter, batches come out up to a
fifth short, and the last container of a batch is not full.

**Least possible** is what no method whatever can stay below: all that a household has had is a whole multiple of the greatest common divisor of all containers so
far, and what was due so far lies between two such multiples.

**Unavoidably over 1**: of the rounds in which somebody of ours ended a portion or more away, in how many no division of that round could have kept everybody below one from
where it stood: somebody away was that far off already, somebody had been given too much to be given less than nothing, or an integer program without a solution says so. In the
other rounds the least sum of squares, which is sought first, is not the least of the greatest deviations.

**No method could**: rounds that end with somebody a portion or more away whatever any method did in all rounds before, as long as that kept everybody below one until then. An
integer program looks for every way to stand before the round and for every division of it at once, and has no solution. One such round proves that nothing keeps this
cooperative under 1.

${row(headings)}
${row(headings.map(() => '---'))}
${lines.join('\n')}
`;
}
