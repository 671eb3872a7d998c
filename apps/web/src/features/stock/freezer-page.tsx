import { useQuery } from '@tanstack/react-query';
import { getRouteApi } from '@tanstack/react-router';
import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { useIsWide } from '../../lib/use-is-wide.ts';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { Columns, Page, Stack } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { Cautions } from './cautions.tsx';
import { ContainerDialogs } from './container-dialogs.tsx';
import { EndedCard } from './ended-card.tsx';
import { endedWords } from './ended-words.ts';
import { FindCard } from './find-card.tsx';
import { freezerQuery, type Freezer } from './freezer-query.ts';
import { SpaceCard } from './space-card.tsx';
import { UseFirstCard, type Asked } from './use-first-card.tsx';
import { labelCode } from '../../lib/label-code.ts';
import { found, inOrder, portionsOf } from './use-first.ts';
import { useStock } from './use-stock.ts';

const route = getRouteApi('/member/freezer');

/** What my household holds, what to use first, the room that is left, and what has become of the rest. */
export function FreezerPage() {
  const t = useT();
  const { cooperativeId, householdId } = useSession();
  const query = useQuery(freezerQuery(cooperativeId, householdId));
  const items = query.data?.items;
  return (
    <Page
      title={t('freezer.title')}
      aside={items && t('freezer.count', { n: items.length, portions: portionsOf(items) })}
    >
      <QueryView query={query} lines={8}>
        {(freezer) => <Contents freezer={freezer} />}
      </QueryView>
    </Page>
  );
}

function Contents({ freezer }: { freezer: Freezer }) {
  const { can } = useSession();
  const { code, find, by } = route.useSearch();
  const looked = code ?? find ?? '';
  const isWide = useIsWide();
  const stock = useStock();
  const [asked, setAsked] = useState<Asked | null>(null);
  const mayAct = can('coordinator', 'buyer', 'adult');
  const isEmpty = freezer.items.length === 0;
  const meant = looked === '' ? freezer.items : found(freezer.items, looked);
  const places = [...new Set(freezer.items.map(({ place }) => place).filter(Boolean))].sort().slice(0, 6);
  const findCard = !isEmpty && <FindCard key={looked} looked={looked} />;
  return (
    <>
      {!isWide && findCard}
      <Columns form="wideFirst">
        {isEmpty && <EmptyFreezer />}
        {!isEmpty && meant.length === 0 && <NotFound freezer={freezer} looked={looked} />}
        {meant.length > 0 && (
          <UseFirstCard
            freezer={freezer}
            rows={inOrder(meant)}
            isFound={looked !== ''}
            isByPlace={by === 'place'}
            stock={stock}
            onAsk={setAsked}
            mayAct={mayAct}
          />
        )}
        <Stack gap="wide">
          {isWide && findCard}
          <SpaceCard freezer={freezer} />
          <EndedCard freezer={freezer} stock={stock} mayAct={mayAct} />
        </Stack>
      </Columns>
      <ContainerDialogs
        asked={asked}
        places={places}
        stock={stock}
        onDone={() => {
          stock.move.reset();
          stock.end.reset();
          setAsked(null);
        }}
      />
    </>
  );
}

function EmptyFreezer() {
  const t = useT();
  const toRound = (
    <LinkButton to="/round" kind="main">
      {t('freezer.openRound')}
    </LinkButton>
  );
  return (
    <Card title={t('freezer.empty')}>
      <Empty action={toRound}>{t('freezer.emptyWords')}</Empty>
      <Cautions />
    </Card>
  );
}

/** A code that is not in the list: eaten or gone already, or with somebody else. */
function NotFound({ freezer, looked }: { freezer: Freezer; looked: string }) {
  const t = useT();
  const formats = useFormats();
  const [gone] = found(freezer.ended, looked);
  return (
    <Card title={t('freezer.notFound', { code: labelCode(looked) })}>
      <Empty
        action={
          <LinkButton to="/freezer" search={{}}>
            {t('freezer.showAll')}
          </LinkButton>
        }
      >
        {gone
          ? t('freezer.goneOn', {
              dish: gone.dish,
              code: gone.code,
              what: endedWords(gone, t),
              at: formats.dayTime(gone.endedAt),
            })
          : t('freezer.notFoundWords')}
      </Empty>
    </Card>
  );
}
