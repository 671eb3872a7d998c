import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Empty, Note } from '../../ui/card.tsx';
import { ContainerLead } from '../../ui/container-box.tsx';
import { LabelCodes } from '../../ui/label-code.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { dishIndexOf, portionsOf, type Container, type ShareOut, type ShareOutPart } from './share-out-query.ts';
import { heldBy, type Claims } from './use-claims.ts';

interface OwnPartProps {
  shareOut: ShareOut;
  own: ShareOutPart;
  claims: Claims;
  onClaim: (container: Container) => void;
  /** Readers look on. */
  mayAct: boolean;
}

/** What the round has for my household, drawn container by container: claim all, or release one. */
export function OwnPartCard({ shareOut, own, claims, onClaim, mayAct }: OwnPartProps) {
  const t = useT();
  const isConfirmed = shareOut.state === 'confirmed';
  const held = heldBy(shareOut, own.household.id);
  const acts = isConfirmed && mayAct;
  return (
    <Card title={t('shareOut.forUs', { n: portionsOf(own.containers) })} aside={<OwnState {...{ shareOut, own }} />}>
      {own.containers.length === 0 ? (
        <Empty>{t('shareOut.nothingForUs')}</Empty>
      ) : (
        <List small>
          {own.containers.map((container) => (
            <OwnContainer
              key={container.id}
              shareOut={shareOut}
              container={container}
              claims={acts ? claims : undefined}
              // Claim all leaves aside what somebody must not eat; it then asks for an answer of its own.
              onClaim={held.length > 0 && held.length < own.containers.length ? onClaim : undefined}
            />
          ))}
        </List>
      )}
      <Problem error={claims.release.error} />
      <Problem error={claims.claimAll.error} onRetry={() => claims.claimAll.mutate(held.length)} />
      {acts && held.length > 0 && (
        <Button
          kind="main"
          wide
          isPending={claims.claimAll.isPending}
          onPress={() => claims.claimAll.mutate(held.length)}
        >
          {t('shareOut.claimAll', { n: held.length })}
        </Button>
      )}
      {own.containers.length > 0 && <BestBeforeNote containers={own.containers} isConfirmed={isConfirmed} />}
    </Card>
  );
}

function OwnState({ shareOut, own }: Pick<OwnPartProps, 'shareOut' | 'own'>) {
  const t = useT();
  const count = own.containers.length;
  if (count === 0) return null;
  if (shareOut.state === 'proposed')
    return <StateMark state="waiting">{t('shareOut.containersProposed', { n: count })}</StateMark>;
  const held = heldBy(shareOut, own.household.id).length;
  if (held === 0) return <StateMark state="taken">{t('shareOut.containersTaken', { n: count })}</StateMark>;
  return <StateMark state="setAside">{t('shareOut.containersSetAside', { n: held })}</StateMark>;
}

function OwnContainer(props: {
  shareOut: ShareOut;
  container: Container;
  claims?: Claims;
  onClaim?: (container: Container) => void;
}) {
  const { shareOut, container, claims, onClaim } = props;
  const t = useT();
  const food = useFoodWords();
  const { dish, portions, code } = container;
  const isSealed = container.state === 'sealed';
  return (
    <ListRow
      lead={<ContainerLead portions={portions} dishIndex={dishIndexOf(shareOut, container)} />}
      title={dish}
      detail={
        <>
          {t('common.portions', { n: portions })} · <LabelCodes codes={[code]} /> ·{' '}
          {food.allergens(container.allergens)}
        </>
      }
      acts={
        claims && isSealed ? (
          <>
            {onClaim && container.claim === 'held' && (
              <Button
                aria-label={t('shareOut.claimNamed', { dish, code })}
                isPending={claims.claim.isPending}
                onPress={() => onClaim(container)}
              >
                {t('shareOut.claim')}
              </Button>
            )}
            <Button
              kind="plain"
              aria-label={t('shareOut.releaseNamed', { dish, code })}
              isPending={claims.release.isPending && claims.release.variables?.id === container.id}
              onPress={() => claims.release.mutate(container)}
            >
              {t('shareOut.release')}
            </Button>
          </>
        ) : (
          !isSealed && t(`shareOut.ended.${container.state as 'eaten'}`)
        )
      }
    >
      {shareOut.state === 'confirmed' && isSealed && (
        <ContainerState container={container} isMixed={onClaim !== undefined} />
      )}
    </ListRow>
  );
}

function ContainerState({ container, isMixed }: { container: Container; isMixed: boolean }) {
  const t = useT();
  if (container.offered) return <StateMark state="offered">{t('common.state.offered')}</StateMark>;
  if (container.claim === 'held' || !isMixed) return null;
  return (
    <span className="small">
      <StateMark state="taken">{t('common.state.taken')}</StateMark>
    </span>
  );
}

function BestBeforeNote({ containers, isConfirmed }: { containers: readonly Container[]; isConfirmed: boolean }) {
  const t = useT();
  const formats = useFormats();
  const dates = containers.map(({ bestBefore }) => bestBefore).sort();
  const [first = '', last = ''] = [dates[0], dates.at(-1)];
  return (
    <Note>
      <p>
        {first === last
          ? t('shareOut.allBestBefore', { n: containers.length, date: formats.day(first, 'dated') })
          : t('shareOut.firstBestBefore', { date: formats.day(first, 'dated') })}{' '}
        {t(isConfirmed ? 'shareOut.claimRules' : 'shareOut.proposalRules')}
      </p>
      <p>{t('common.notDeclared')}</p>
    </Note>
  );
}
