import { useQuery } from '@tanstack/react-query';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Balance, Balances } from '../../ui/figures.tsx';
import { statementQuery, type Accounts } from './account-queries.ts';
import { useBalanceWords } from './balance-words.ts';
import { moneyReason } from './money-reason.ts';

/** What my household is owed, in money, portions and turns, each with its reason. */
export function OwnBalances({ accounts }: { accounts: Accounts }) {
  const t = useT();
  const words = useBalanceWords();
  const { cooperativeId, householdId } = useSession();
  const money = useQuery(statementQuery(cooperativeId, householdId, 'money')).data;
  const own = accounts.households.find(({ household }) => household.id === householdId);
  if (!own) return null;
  const reason = money && moneyReason(BigInt(own.moneyMinor), money.lines);
  const portions = BigInt(own.portionsMicro);
  const turns = BigInt(own.turnsMicro);
  const turnsReason = turns === 0n ? 'turnsNil' : turns > 0n ? 'turnsToCook' : 'turnsAhead';
  const portionsReason = portions === 0n ? 'portionsNil' : portions > 0n ? 'portionsToCome' : 'portionsAhead';
  return (
    <div className="own-balances">
      <Balances>
        <Balance
          framed
          name={t('accounts.money')}
          value={words.money(own.moneyMinor)}
          reason={reason && t(`accounts.reason.${reason.kind}`, { round: 'round' in reason ? reason.round : 0 })}
        />
        <Balance
          name={t('accounts.portions')}
          value={words.portions(own.portionsMicro)}
          reason={t(`accounts.reason.${portionsReason}`)}
        />
        <Balance
          name={t('accounts.turns')}
          value={words.turns(own.turnsMicro)}
          reason={t(`accounts.reason.${turnsReason}`)}
        />
      </Balances>
    </div>
  );
}
