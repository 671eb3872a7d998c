import { rational } from '@frostmoot/calc';
import type { LineWords, Wording } from './line-words.ts';

/** Words of the lines that only the book of portions has; null for any other kind. */
export function portionLineWords(wording: Wording): LineWords | null {
  const { t, line, text } = wording;
  const dish = text('dish');
  switch (line.kind) {
    case 'share-out':
      return shareOutWords(wording);
    case 'claim':
      return { title: t('accounts.claim', { dish }), sentences: container(wording) };
    case 'release':
      return { title: t('accounts.release', { dish }), sentences: container(wording) };
    case 'loss':
      if (text('part') === 'broken') return corrected(wording, t('accounts.correction.broken', { dish }));
      return { title: t('accounts.loss', { dish }), sentences: container(wording) };
    case 'swap':
      return swapWords(wording);
    default:
      return null;
  }
}

/** What a correction of a share-out or the common freezer moved; null for an adjustment of money. */
export function portionAdjustmentWords(wording: Wording): LineWords | null {
  const { t, text, formats } = wording;
  const dish = text('dish');
  switch (text('part')) {
    case 'common': {
      const portions = text('commonPortions') || '0';
      const key = portions.startsWith('-') ? 'accounts.common.portions' : 'accounts.common.back';
      const values = { portions: formats.quantity(portions.replace('-', '')), round: wording.count('round') };
      return { title: t('accounts.common'), sentences: [t(key, values)] };
    }
    case 'moved-away':
      return corrected(wording, t('accounts.correction.movedAway', { dish }));
    case 'moved-here':
      return corrected(wording, t('accounts.correction.movedHere', { dish }));
    default:
      return null;
  }
}

const corrected = (wording: Wording, title: string): LineWords => ({
  title,
  sentences: [...container(wording), wording.t('accounts.because', { reason: wording.text('because') })],
});

const container = ({ t, text, count }: Wording): string[] =>
  text('code') === '' ? [] : [t('accounts.container', { code: text('code'), portions: count('portions') })];

/** The facts name who proposed the swap to whom; which of the two is the other one depends on whose statement it is. */
function swapWords(wording: Wording): LineWords {
  const { t, text, view } = wording;
  const other = text('from') === view.household ? text('to') : text('from');
  const values = { other, dish: text('dish') };
  return {
    title: text('part') === 'gave' ? t('accounts.swap.gave', values) : t('accounts.swap.got', values),
    sentences: container(wording),
  };
}

function shareOutWords(wording: Wording): LineWords {
  const { t, formats, line, text, count } = wording;
  const round = count('round') || (line.roundNumber ?? 0);
  if (text('part') !== 'due') {
    return {
      title: t('accounts.shareOut.received', { round }),
      sentences:
        text('target') === '' ? [] : [t('accounts.shareOut.target', { target: formats.quantity(text('target')) })],
    };
  }
  const title = t('accounts.shareOut.due', { round });
  if (text('weight') === '' || text('totalWeight') === '') return { title, sentences: [] };
  const values = {
    portions: count('totalPortions'),
    weight: formats.quantity(text('weight')),
    totalWeight: formats.quantity(text('totalWeight')),
    entitlement: formats.quantity(text('entitlement'), { least: 0, most: 4 }),
  };
  return {
    title,
    sentences: [isByHeadcount(wording) ? t('accounts.shareOut.sum', values) : t('accounts.shareOut.mixed', values)],
  };
}

/** Whether what is due is the plain fraction by headcount: not where somebody cannot eat every dish. */
function isByHeadcount({ text, count }: Wording): boolean {
  const all = rational.rational(BigInt(count('totalPortions')));
  const part = rational.div(rational.parse(text('weight')), rational.parse(text('totalWeight')));
  return rational.cmp(rational.mul(all, part), rational.parse(text('entitlement') || '0')) === 0;
}
