import { useQuery } from '@tanstack/react-query';
import { accountsQuery } from '../../lib/accounts-query.ts';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { ContainerLead } from '../../ui/container-box.tsx';
import { LabelCodes } from '../../ui/label-code.tsx';
import { ListRow } from '../../ui/list.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { claimButtonId } from './claim-refusal.tsx';
import type { PoolGroup } from './pool-groups.ts';
import { dishIndexOf, type Container, type ShareOut } from './share-out-query.ts';
import type { Claims } from './use-claims.ts';
import { placesOf, type LineActs } from './use-line.ts';

interface RowProps {
  shareOut: ShareOut;
  group: PoolGroup;
  claims: Claims;
  waits: LineActs;
  mayAct: boolean;
}

/** Equal containers with how many are left, and one act: claim one, or stand in line where none is left. */
export function PoolRow({ shareOut, group, claims, waits, mayAct }: RowProps) {
  const t = useT();
  const food = useFoodWords();
  const { one, free, all } = group;
  const { dish, portions, roundNumber } = one;
  const isOlder = roundNumber !== shareOut.roundNumber;
  return (
    <ListRow
      lead={<ContainerLead portions={portions} dishIndex={dishIndexOf(shareOut, one)} />}
      title={dish}
      detail={
        <>
          {all === 1 ? (
            <>
              {t('common.portions', { n: portions })} · <LabelCodes codes={[one.code]} />
            </>
          ) : (
            t('shareOut.each', { n: portions })
          )}{' '}
          · {food.allergens(one.allergens)}
          {isOlder && <> · {t('shareOut.leftOver', { round: roundNumber })}</>}
        </>
      }
      acts={
        <>
          {(all > 1 || free.length > 0) && (
            <StateMark state={free.length > 0 ? 'free' : 'taken'}>
              {all === 1 ? t('common.state.free') : t('shareOut.freeOf', { n: free.length, all })}
            </StateMark>
          )}
          {mayAct && <Acts {...{ group, claims, waits, shareOut }} />}
        </>
      }
    >
      <WhoHas group={group} shareOut={shareOut} />
      {mayAct && shareOut.state === 'confirmed' && free.length > 0 && <WithIt container={one} shareOut={shareOut} />}
    </ListRow>
  );
}

function Acts({ group, claims, waits, shareOut }: Omit<RowProps, 'mayAct'>) {
  const t = useT();
  const { householdId } = useSession();
  const { free, mine, one } = group;
  const [first] = free;
  const last = mine.at(-1);
  const { claim, release } = claims;
  const { dish, portions, recipeId } = one;
  const isOurs = ({ id }: Container) => [...free, ...mine].some((container) => container.id === id);
  const inLine = shareOut.waiting.some((line) => line.household.id === householdId && line.recipe.id === recipeId);
  return (
    <>
      {last && (
        <Button
          kind="plain"
          aria-label={mine.length === 1 ? t('shareOut.releaseNamed', { dish, code: last.code }) : undefined}
          isPending={release.isPending && release.variables !== undefined && isOurs(release.variables)}
          onPress={() => release.mutate(last)}
        >
          {t(mine.length === 1 ? 'shareOut.release' : 'shareOut.releaseOne')}
          {mine.length > 1 && <span className="hidden">: {dish}</span>}
        </Button>
      )}
      {first && (
        <Button
          id={claimButtonId(first)}
          aria-label={
            free.length === 1
              ? t('shareOut.claimNamed', { dish, code: first.code })
              : t('shareOut.claimOneNamed', { dish, n: portions })
          }
          isPending={claim.isPending && claim.variables !== undefined && isOurs(claim.variables.container)}
          // The last one is asked for by its code, so that whoever comes too late is told who has it.
          onPress={() => claims.ask({ container: first, any: free.length > 1, confirmWords: null })}
        >
          {t(group.all === 1 ? 'shareOut.claim' : 'shareOut.claimOne')}
        </Button>
      )}
      {!first && !inLine && mine.length === 0 && (
        <Button
          aria-label={t('shareOut.wait.joinNamed', { dish })}
          isPending={waits.join.isPending && waits.join.variables?.recipeId === recipeId}
          onPress={() => waits.join.mutate({ recipeId, name: dish })}
        >
          {t('shareOut.wait.joinShort')}
        </Button>
      )}
    </>
  );
}

/** Who has claimed of it, for whom it is kept, and where we stand in the line. */
function WhoHas({ group, shareOut }: { group: PoolGroup; shareOut: ShareOut }) {
  const t = useT();
  const formats = useFormats();
  const { householdId } = useSession();
  const { mine, others, kept, free, one } = group;
  const own = shareOut.parts.find(({ household }) => household.id === householdId);
  const line = shareOut.waiting.filter(({ recipe }) => recipe.id === one.recipeId);
  const us = line.find(({ household, state }) => household.id === householdId && state === 'waiting');
  const { isTooFar, portions } = useWithIt(one, shareOut);
  const isUnfit = one.roundNumber === shareOut.roundNumber && own?.cannotEat?.includes(one.dish);
  const names = others.map(({ household, n }) =>
    n === 1 && group.all === 1 ? household : t('shareOut.early.count', { household, n }),
  );
  return (
    <>
      {mine.length > 0 && (
        <span className="small">
          <StateMark state="taken">
            {t('shareOut.ours', { n: mine.length })} <LabelCodes codes={mine.map(({ code }) => code)} />
          </StateMark>
        </span>
      )}
      {others.length > 0 && (
        <span className="small soft">{t('shareOut.early.byMany', { households: formats.list(names) })}</span>
      )}
      {kept.map((each) => (
        <span className="small" key={each.id}>
          <StateMark state="setAside">
            {t(each.household.id === householdId ? 'shareOut.wait.keptForUs' : 'shareOut.wait.kept', {
              household: each.household.name,
              at: formats.dayTimeZone(each.keptUntil ?? ''),
            })}
          </StateMark>
        </span>
      ))}
      {us && free.length === 0 && (
        <span className="small">
          <StateMark state="waiting">
            {t('shareOut.wait.place', { n: placesOf(shareOut.waiting).get(us.id) ?? 1, all: line.length })}
          </StateMark>
        </span>
      )}
      {us && (isUnfit || isTooFar) && (
        <span className="small">
          {t('shareOut.wait.passed')}{' '}
          {isTooFar && t('shareOut.withItTooFar', { portions, limit: formats.portions(shareOut.claimLimitMicro) })}
        </span>
      )}
      {isUnfit && (
        <span className="small">
          <StateMark state="problem">{t('shareOut.poolUnfit')}</StateMark>
        </span>
      )}
    </>
  );
}

/** How my household would stand with one more of these. */
function useWithIt({ portions: more }: Container, shareOut: ShareOut) {
  const formats = useFormats();
  const { cooperativeId, householdId } = useSession();
  const accounts = useQuery(accountsQuery(cooperativeId)).data;
  const balance = accounts?.households.find(({ household }) => household.id === householdId)?.portionsMicro;
  const after = balance === undefined ? null : BigInt(balance) - BigInt(more) * 1_000_000n;
  return {
    after,
    isTooFar: after !== null && -after > BigInt(shareOut.claimLimitMicro),
    portions: formats.absolutePortions(String(after ?? 0n), { least: 2, most: 2 }),
  };
}

/** What claiming it would mean for my household's portions. */
function WithIt({ container, shareOut }: { container: Container; shareOut: ShareOut }) {
  const t = useT();
  const formats = useFormats();
  const { after, isTooFar, portions } = useWithIt(container, shareOut);
  if (after === null) return null;
  return (
    <span className="small soft">
      {isTooFar
        ? t('shareOut.withItTooFar', { portions, limit: formats.portions(shareOut.claimLimitMicro) })
        : t(after >= 0n ? 'shareOut.withItToCome' : 'shareOut.withItAhead', {
            portions,
            round: shareOut.roundNumber + 1,
          })}
    </span>
  );
}
