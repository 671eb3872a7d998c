import { useQuery } from '@tanstack/react-query';
import { accountsQuery } from '../../lib/accounts-query.ts';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { ContainerLead } from '../../ui/container-box.tsx';
import { LabelCodes } from '../../ui/label-code.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { ClaimTimes } from './claim-times.tsx';
import { claimButtonId, ClaimRefusal } from './claim-refusal.tsx';
import { dishIndexOf, type Container, type ShareOut } from './share-out-query.ts';
import type { Claims } from './use-claims.ts';

interface PoolProps {
  shareOut: ShareOut;
  claims: Claims;
  onClaim: (container: Container) => void;
  mayAct: boolean;
}

/** What is free for whoever claims it first, of this round and earlier ones. It stays and says so where nothing is there. */
export function PoolCard({ shareOut, claims, onClaim, mayAct }: PoolProps) {
  const t = useT();
  const { pool } = shareOut;
  const isConfirmed = shareOut.state === 'confirmed';
  const isEarly = !isConfirmed && shareOut.policy === 'before' && shareOut.stage === 'sharing';
  const title = isEarly
    ? t('shareOut.early.title')
    : t(isConfirmed ? 'shareOut.pool' : 'shareOut.poolProposed', { n: pool.length });
  return (
    <Card title={title} id="pool" aside={isEarly ? <ClaimTimes shareOut={shareOut} /> : undefined}>
      {isEarly && <p className="measure soft">{t('shareOut.early.words')}</p>}
      {pool.length === 0 && <p className="soft">{t('shareOut.poolEmpty')}</p>}
      {pool.length > 0 && (
        <List small>
          {pool.map((container) => (
            <PoolRow
              key={container.id}
              {...{ shareOut, container, claims, onClaim }}
              mayAct={
                mayAct &&
                shareOut.policy !== 'none' &&
                (isConfirmed || isEarly || container.roundNumber !== shareOut.roundNumber)
              }
            />
          ))}
        </List>
      )}
      <ClaimRefusal claims={claims} shareOut={shareOut} />
      {pool.length > 0 && (
        <Note>
          <p>{t('common.notDeclared')}</p>
        </Note>
      )}
    </Card>
  );
}

function PoolRow({ shareOut, container, claims, onClaim, mayAct }: PoolProps & { container: Container }) {
  const t = useT();
  const food = useFoodWords();
  const { dish, code, portions, roundNumber } = container;
  const { householdId } = useSession();
  const isOlder = roundNumber !== shareOut.roundNumber;
  const own = shareOut.parts.find(({ household }) => household.id === householdId);
  const formats = useFormats();
  const taken = shareOut.earlyClaims.find(({ containerId }) => containerId === container.id);
  const kept = shareOut.waiting.find((one) => one.state === 'kept' && one.container?.id === container.id);
  const isUnfit = !isOlder && own?.cannotEat?.includes(dish);
  return (
    <ListRow
      lead={<ContainerLead portions={portions} dishIndex={dishIndexOf(shareOut, container)} />}
      title={dish}
      detail={
        <>
          {t('common.portions', { n: portions })} · <LabelCodes codes={[code]} /> ·{' '}
          {food.allergens(container.allergens)}
          {isOlder && <> · {t('shareOut.leftOver', { round: roundNumber })}</>}
        </>
      }
      acts={
        <>
          {taken ? (
            <StateMark state="taken">{t('shareOut.early.by', { household: taken.household.name })}</StateMark>
          ) : kept ? (
            <StateMark state="setAside">
              {t(kept.household.id === householdId ? 'shareOut.wait.keptForUs' : 'shareOut.wait.kept', {
                household: kept.household.name,
                at: formats.dayTimeZone(kept.keptUntil ?? ''),
              })}
            </StateMark>
          ) : (
            <StateMark state="free">{t('common.state.free')}</StateMark>
          )}
          {mayAct && taken?.household.id === householdId && (
            <Button
              kind="plain"
              aria-label={t('shareOut.releaseNamed', { dish, code })}
              isPending={claims.release.isPending && claims.release.variables?.id === container.id}
              onPress={() => claims.release.mutate(container)}
            >
              {t('shareOut.release')}
            </Button>
          )}
          {mayAct && !taken && (kept === undefined || kept.household.id === householdId) && (
            <Button
              id={claimButtonId(container.id)}
              aria-label={t('shareOut.claimNamed', { dish, code })}
              isPending={claims.claim.isPending && claims.claim.variables?.container.id === container.id}
              onPress={() => onClaim(container)}
            >
              {t('shareOut.claim')}
            </Button>
          )}
        </>
      }
    >
      {isUnfit && (
        <span className="small">
          <StateMark state="problem">{t('shareOut.poolUnfit')}</StateMark>
        </span>
      )}
      {mayAct && shareOut.state === 'confirmed' && <WithIt container={container} shareOut={shareOut} />}
    </ListRow>
  );
}

/** What claiming it would mean for my household's portions. */
function WithIt({ container, shareOut }: { container: Container; shareOut: ShareOut }) {
  const t = useT();
  const formats = useFormats();
  const { cooperativeId, householdId } = useSession();
  const accounts = useQuery(accountsQuery(cooperativeId)).data;
  const balance = accounts?.households.find(({ household }) => household.id === householdId)?.portionsMicro;
  if (balance === undefined) return null;
  const after = BigInt(balance) - BigInt(container.portions) * 1_000_000n;
  const portions = formats.absolutePortions(String(after), { least: 2, most: 2 });
  const limit = BigInt(shareOut.claimLimitMicro);
  const key = after >= 0n ? 'withItToCome' : -after > limit ? 'withItTooFar' : 'withItAhead';
  return (
    <span className="small soft">
      {key === 'withItTooFar'
        ? t('shareOut.withItTooFar', { portions, limit: formats.portions(shareOut.claimLimitMicro) })
        : t(`shareOut.${key}`, { portions, round: shareOut.roundNumber + 1 })}
    </span>
  );
}
