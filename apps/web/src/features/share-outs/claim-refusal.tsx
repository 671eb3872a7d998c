import type { ReactNode } from 'react';
import { isProblem } from '../../lib/api/client.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button, LinkButton } from '../../ui/button.tsx';
import { Problem, ProblemBox } from '../../ui/problem-box.tsx';
import type { Container, ShareOut } from './share-out-query.ts';
import { groupKey } from './pool-groups.ts';
import type { Claims } from './use-claims.ts';

/** The id of the button that claims one of a group of the pool, so that a refusal can lead to another one. */
export const claimButtonId = (container: Container): string => `claim-${groupKey(container)}`;

/** Why a claim was refused: who has it since when and what else there is, or which number stands against it. */
export function ClaimRefusal({ claims, shareOut }: { claims: Claims; shareOut: ShareOut }): ReactNode {
  const { error } = claims.claim;
  const container = claims.claim.variables?.container;
  // What a diner must not eat is asked about in a step of its own.
  if (!error || !container || claims.warned) return null;
  if (isProblem(error, 'container-taken')) {
    // Released again since, it stands in the pool with a button of its own.
    const isTaken = shareOut.earlyClaims.some(({ containerId }) => containerId === container.id);
    if (!isTaken && shareOut.pool.some(({ id }) => id === container.id)) return null;
    return <Taken {...{ error, container, shareOut }} />;
  }
  if (isProblem(error, 'none-left')) return <Taken {...{ error, container, shareOut }} />;
  if (isProblem(error, 'excluded-food')) return <Final container={container} params={error.params} />;
  if (isProblem(error, 'participant-missing')) return <NotInRound round={container.roundNumber} />;
  if (isProblem(error, 'over-allowance')) return <OverAllowance params={error.params} {...{ container, shareOut }} />;
  return (
    <Problem
      error={error}
      onRetry={() => claims.ask({ container, any: claims.claim.variables?.any ?? false, confirmWords: null })}
    />
  );
}

/** What no words can change before the share-out. */
function Final({ container, params }: { container: Container; params: Readonly<Record<string, unknown>> }) {
  const t = useT();
  const ingredients = String(params.ingredients ?? '');
  return (
    <ProblemBox appeared title={t('shareOut.early.final', { dish: container.dish })}>
      {ingredients !== '' && <p>{t('food.excluded.brings', { ingredients })}</p>}
    </ProblemBox>
  );
}

/** What is left over from an earlier round, asked for by a household that came later. */
function NotInRound({ round }: { round: number }) {
  const t = useT();
  return (
    <ProblemBox appeared title={t('shareOut.notInThatRound', { round })}>
      <p>{t('shareOut.notInThatRoundWords')}</p>
    </ProblemBox>
  );
}

function Taken({ error, container, shareOut }: { error: Error; container: Container; shareOut: ShareOut }) {
  const t = useT();
  const formats = useFormats();
  const params = isProblem(error) ? error.params : {};
  const { householdId } = useSession();
  const unfit = shareOut.parts.find(({ household }) => household.id === householdId)?.cannotEat ?? [];
  // What others hold already, or is kept for them, is no way out, nor is what somebody of ours must not eat.
  const notFree = new Set([
    ...shareOut.earlyClaims.map(({ containerId }) => containerId),
    ...shareOut.waiting.flatMap(({ state, container: kept }) => (state === 'kept' && kept ? [kept.id] : [])),
  ]);
  const others = shareOut.pool.filter(
    ({ id, dish }) => id !== container.id && !notFree.has(id) && !unfit.includes(dish),
  );
  const [next] = others;
  const dishes = [...new Set(others.map(({ dish }) => dish))];
  return (
    <ProblemBox
      appeared
      title={
        isProblem(error, 'none-left')
          ? t('shareOut.noneLeft', { dish: container.dish })
          : typeof params.holder === 'string' && typeof params.at === 'string'
            ? t('problems.container-taken.holder', { holder: params.holder, at: formats.dayTime(params.at) })
            : t('problems.container-taken')
      }
      action={
        next ? (
          <Button onPress={() => document.getElementById(claimButtonId(next))?.focus()}>
            {t('shareOut.showOther', { dish: next.dish })}
          </Button>
        ) : (
          <LinkButton to="/swaps" search={{ ask: container.id }}>
            {t('shareOut.askForSwap')}
          </LinkButton>
        )
      }
    >
      <p>
        {next
          ? t('shareOut.takenOthers', { dish: container.dish, n: others.length, dishes: formats.list(dishes) })
          : t('shareOut.takenNone', { dish: container.dish })}
      </p>
    </ProblemBox>
  );
}

function OverAllowance(props: { params: Readonly<Record<string, unknown>>; container: Container; shareOut: ShareOut }) {
  const t = useT();
  const formats = useFormats();
  const { balanceMicro, limitMicro } = props.params;
  const known = typeof balanceMicro === 'string' && typeof limitMicro === 'string';
  const { portions, dish } = props.container;
  // Nobody holds anything yet that could be offered in a swap.
  const isEarly = props.shareOut.state !== 'confirmed';
  return (
    <ProblemBox
      appeared
      title={t('problems.over-allowance')}
      action={
        !isEarly && (
          <LinkButton to="/swaps" search={{ offer: 'any' }}>
            {t('shareOut.offerSwap')}
          </LinkButton>
        )
      }
    >
      {known && (
        <p>
          {t('shareOut.overAllowance', {
            dish,
            n: portions,
            ahead: formats.absolutePortions(String(BigInt(balanceMicro) - BigInt(portions) * 1_000_000n)),
            limit: formats.portions(limitMicro),
          })}
        </p>
      )}
      <p>{t(isEarly ? 'shareOut.overAllowanceEarly' : 'shareOut.overAllowanceRemedy')}</p>
    </ProblemBox>
  );
}
