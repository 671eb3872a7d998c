import { rational } from '@frostmoot/calc';
import type { LineWords, Wording } from './line-words.ts';

/** Words of the lines that only the book of turns has; null for any other kind. */
export function turnLineWords(wording: Wording): LineWords | null {
  const { t, formats, line, text, count } = wording;
  const week = text('week') === '' ? '' : formats.day(text('week'), 'short');
  switch (line.kind) {
    case 'rota-published':
      return rotaWords(wording);
    case 'turns-not-done':
      return { title: t('accounts.turn.notDone', { week, turns: count('turns') }), sentences: [] };
    case 'illness':
      return { title: t('accounts.turn.gaveUp', { week }), sentences: [] };
    case 'cover':
      return coverWords(wording, week);
    case 'turn-swapped': {
      const other = text('from') === wording.view.household ? text('to') : text('from');
      const title = t(text('part') === 'took' ? 'accounts.turn.swapGot' : 'accounts.turn.swapGave', { other, week });
      return { title, sentences: [] };
    }
    default:
      return null;
  }
}

function coverWords({ t, text }: Wording, week: string): LineWords {
  if (text('part') === 'gave-up') {
    return { title: t('accounts.turn.takenBy', { other: text('to'), week }), sentences: [] };
  }
  const other = text('from');
  return {
    title: other === '' ? t('accounts.turn.took', { week }) : t('accounts.turn.tookFrom', { other, week }),
    sentences: [],
  };
}

function rotaWords({ t, formats, text, count }: Wording): LineWords {
  const days = { from: formats.day(text('from'), 'short'), to: formats.day(text('to'), 'short') };
  const turns = count('turns');
  if (text('part') !== 'due') return { title: t('accounts.rota.given', { ...days, turns }), sentences: [] };
  const [weight, total] = [rational.parse(text('weight') || '0'), rational.parse(text('totalWeight') || '0')];
  const share =
    total.n === 0n ? rational.zero : rational.div(rational.mul(rational.rational(BigInt(turns)), weight), total);
  const values = {
    turns,
    weight: formats.quantity(weight),
    totalWeight: formats.quantity(total),
    share: formats.quantity(share, { least: 0, most: 4 }),
  };
  return { title: t('accounts.rota.due', days), sentences: [t('accounts.rota.sum', values)] };
}
