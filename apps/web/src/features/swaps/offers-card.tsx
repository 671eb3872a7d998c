import { useState } from 'react';
import { api, ifMatch, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { ContainerLead } from '../../ui/container-box.tsx';
import { Form } from '../../ui/form.tsx';
import { LabelCodes } from '../../ui/label-code.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { say } from '../../ui/toast.tsx';
import { ChooseContainers } from './choose-containers.tsx';
import type { SwapBoard } from './swap-query.ts';

interface OffersCardProps {
  board: SwapBoard;
  mayAct: boolean;
  /** whether the choice of containers is open, and how to open and close it */
  isChoosing: boolean;
  /** a container that the link to the choice names */
  offer?: string;
  onChoose: (open: boolean) => void;
}

/** "We offer": what my household holds out, each to be taken back as long as no ring waits for it. */
export function OffersCard({ board, mayAct, isChoosing, offer, onChoose }: OffersCardProps) {
  const t = useT();
  const formats = useFormats();
  const takeBack = useTakeBack();
  const { offers } = board;
  return (
    <Card
      id="offers"
      title={t('swaps.weOffer')}
      aside={<StateMark state="offered">{t('swaps.offeredCount', { n: offers.length })}</StateMark>}
    >
      {offers.length === 0 && !isChoosing && <p className="soft">{t('swaps.weOfferEmpty')}</p>}
      <List small>
        {offers.map(({ id, container, inRing, version }) => (
          <ListRow
            key={id}
            lead={<ContainerLead portions={container.portions} />}
            title={container.dish}
            detail={
              <>
                {t('common.portions', { n: container.portions })} ·{' '}
                {t('swaps.bestBefore', { date: formats.day(container.bestBefore, 'dated') })} ·{' '}
                <LabelCodes codes={[container.code]} />
              </>
            }
            acts={
              inRing ? (
                <StateMark state="waiting">{t('swaps.inRing')}</StateMark>
              ) : (
                mayAct && (
                  <Button
                    kind="plain"
                    aria-label={t('swaps.takeBackNamed', { dish: container.dish })}
                    isPending={takeBack.isPending && takeBack.variables?.id === id}
                    onPress={() => takeBack.mutate({ id, version })}
                  >
                    {t('swaps.withdraw')}
                  </Button>
                )
              )
            }
          />
        ))}
      </List>
      <Problem error={takeBack.error} />
      {isChoosing ? (
        <OfferForm board={board} named={offer} onDone={() => onChoose(false)} />
      ) : (
        mayAct && (
          <div>
            <Button onPress={() => onChoose(true)}>
              {t(offers.length > 0 ? 'swaps.offerAnother' : 'swaps.offer')}
            </Button>
          </div>
        )
      )}
    </Card>
  );
}

function OfferForm({ board, named, onDone }: { board: SwapBoard; named?: string; onDone: () => void }) {
  const t = useT();
  const { cooperativeId, householdId } = useSession();
  const [chosen, setChosen] = useState<string[]>(named === undefined ? [] : [named]);
  const free = board.mine.filter(({ id }) => !board.offers.some(({ container }) => container.id === id));
  // What was chosen may have gone meanwhile; only what is still there counts.
  const containerIds = free.filter(({ id }) => chosen.includes(id)).map(({ id }) => id);
  const offer = useWrite<string[]>({
    write: (ids, headers) =>
      ok(
        api.POST('/api/cooperatives/{cooperativeId}/swap-offers', {
          params: { path: { cooperativeId } },
          body: { householdId, containerIds: ids },
          headers,
        }),
      ),
    topics: ['swaps', 'jobs'],
    onSuccess: (_, ids) => {
      say(t('swaps.said.offered', { n: ids.length }));
      onDone();
    },
  });
  return (
    <Form
      label={t('swaps.offer')}
      onSubmit={() => containerIds.length > 0 && offer.mutate(containerIds)}
      acts={
        <>
          <Button type="submit" isPending={offer.isPending} isDisabled={containerIds.length === 0}>
            {t('swaps.offerCount', { n: containerIds.length })}
          </Button>
          <Button kind="plain" onPress={onDone}>
            {t('common.cancel')}
          </Button>
        </>
      }
    >
      <ChooseContainers
        title={t('swaps.offerWhich')}
        containers={free}
        chosen={chosen}
        empty={<Empty>{t('swaps.mineEmpty')}</Empty>}
        onChange={setChosen}
      />
      <Problem error={offer.error} />
    </Form>
  );
}

function useTakeBack() {
  const t = useT();
  const { cooperativeId } = useSession();
  return useWrite<Pick<Schemas['SwapOffer'], 'id' | 'version'>>({
    write: ({ id, version }, headers) =>
      ok(
        api.DELETE('/api/cooperatives/{cooperativeId}/swap-offers/{swapOfferId}', {
          params: { path: { cooperativeId, swapOfferId: id } },
          headers: { ...headers, ...ifMatch(version) },
        }),
      ),
    topics: ['swaps'],
    onSuccess: () => say(t('swaps.said.takenBack')),
  });
}
