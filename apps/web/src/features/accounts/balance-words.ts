import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';

/** Balances in words, where the word says the direction: never a bare sign. */
export function useBalanceWords() {
  const t = useT();
  const formats = useFormats();
  return {
    money: (minor: string): string => {
      if (BigInt(minor) === 0n) return t('common.nil');
      const amount = formats.absoluteMoney(minor);
      return minor.startsWith('-') ? t('common.toPay', { amount }) : t('common.toReceive', { amount });
    },
    portions: (micro: string): string => {
      if (BigInt(micro) === 0n) return t('common.nil');
      const portions = formats.absolutePortions(micro);
      return micro.startsWith('-') ? t('common.portionsAhead', { portions }) : t('common.portionsToCome', { portions });
    },
    turns: (micro: string): string => {
      if (BigInt(micro) === 0n) return t('common.nil');
      const turns = formats.absolutePortions(micro);
      return micro.startsWith('-') ? t('accounts.turnsAhead', { turns }) : t('accounts.turnsToCook', { turns });
    },
  };
}
