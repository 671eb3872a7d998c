import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { List } from '../../ui/list.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { ClaimTimes } from './claim-times.tsx';
import { ClaimRefusal } from './claim-refusal.tsx';
import { PoolRow } from './pool-row.tsx';
import { poolGroups } from './pool-groups.ts';
import type { ShareOut } from './share-out-query.ts';
import type { Claims } from './use-claims.ts';
import type { LineActs } from './use-line.ts';

interface PoolProps {
  shareOut: ShareOut;
  claims: Claims;
  waits: LineActs;
  mayAct: boolean;
}

/** What is free for whoever claims it first, of this round and earlier ones, by dish and size. It stays and says so where nothing is there. */
export function PoolCard({ shareOut, claims, waits, mayAct }: PoolProps) {
  const t = useT();
  const { householdId } = useSession();
  const { pool } = shareOut;
  const isConfirmed = shareOut.state === 'confirmed';
  const isEarly = !isConfirmed && shareOut.policy === 'before' && shareOut.stage === 'sharing';
  const title = isEarly
    ? t('shareOut.early.title')
    : t(isConfirmed ? 'shareOut.pool' : 'shareOut.poolProposed', { n: pool.length });
  return (
    <Card title={title} id="pool" aside={isEarly ? <ClaimTimes shareOut={shareOut} /> : undefined}>
      {isEarly && (
        <p className="measure soft">
          {t('shareOut.early.words', {
            limit: t('common.portions', { n: Number(shareOut.claimLimitMicro) / 1_000_000 }),
          })}
        </p>
      )}
      {pool.length === 0 && <p className="soft">{t('shareOut.poolEmpty')}</p>}
      {pool.length > 0 && (
        <List small>
          {poolGroups(shareOut, householdId).map((group) => (
            <PoolRow
              key={group.key}
              {...{ shareOut, group, claims, waits }}
              mayAct={
                mayAct &&
                shareOut.policy !== 'none' &&
                (isConfirmed || isEarly || group.one.roundNumber !== shareOut.roundNumber)
              }
            />
          ))}
        </List>
      )}
      <ClaimRefusal claims={claims} shareOut={shareOut} />
      {isEarly && <Problem error={claims.release.error} />}
      {pool.length > 0 && (
        <Note>
          <p>{t('common.notDeclared')}</p>
        </Note>
      )}
    </Card>
  );
}
