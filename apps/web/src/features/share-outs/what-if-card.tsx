import { rational } from '@frostmoot/calc';
import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { api, isProblem, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useFormats, type Formats } from '../../lib/formats.ts';
import { useT, type Translate } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { Select } from '../../ui/fields.tsx';
import { Fields, Form } from '../../ui/form.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { Loading } from '../../ui/loading.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { balanceWords } from './everybody-card.tsx';
import { differenceOf } from './what-if.ts';

type Preview = Schemas['ShareOutPreview'];
type PreviewPart = NonNullable<Preview['parts'][number]['now']>;
interface Asked {
  varietyWindow?: string;
  without?: string;
  away?: string;
}

/** What a share-out would give while there is still cooking, and what a change would make of it; nothing is kept. */
export function WhatIfCard({ roundId }: { roundId: string }) {
  const t = useT();
  const formats = useFormats();
  const cooperativeId = useCooperativeId();
  const [asked, setAsked] = useState<Asked>({});
  const preview = useQuery({
    queryKey: ['share-out-preview', cooperativeId, roundId, asked],
    meta: { topics: ['share-outs', 'rounds', 'kitchen', 'stock', 'households'] },
    placeholderData: (before: Preview | undefined) => before,
    queryFn: () =>
      ok<Preview>(
        api.GET('/api/cooperatives/{cooperativeId}/rounds/{roundId}/share-out/preview', {
          params: { path: { cooperativeId, roundId }, query: asked },
        }),
      ),
  });
  const { data } = preview;
  // Confirmed meanwhile: the page is about to show that, and this card is going.
  const isOver = isProblem(preview.error, 'already-confirmed');
  const planned = data?.batches.filter(({ isPlanned }) => isPlanned) ?? [];
  return (
    <Card title={t('shareOut.whatIf.title')}>
      <p className="measure soft">{t('shareOut.whatIf.words')}</p>
      {planned.length > 0 && (
        <p>
          {t('shareOut.whatIf.planned', {
            batches: formats.list(planned.map(({ code, dish }) => `${dish} (${code})`)),
          })}
        </p>
      )}
      {preview.isPending && <Loading lines={6} />}
      {!isOver && <Problem error={preview.error} onRetry={() => void preview.refetch()} />}
      {data && <WhatIfForm preview={data} onAsk={setAsked} isPending={preview.isFetching} />}
      {data && (
        <List small>
          {data.parts.map(({ household, now, changed }) => (
            <ListRow
              key={household.id}
              title={household.name}
              detail={now ? getsWords(now, t, formats) : t('shareOut.notInRound')}
            >
              {data.isChanged && <span role="status">{differenceWords(now, changed, t, formats).join(' ')}</span>}
            </ListRow>
          ))}
        </List>
      )}
      {data && (
        <Note>
          <p>{t('shareOut.whatIf.unproved')}</p>
          <p>{t(data.freezersCounted ? 'shareOut.freezersCounted' : 'shareOut.freezersNotCounted')}</p>
        </Note>
      )}
    </Card>
  );
}

function WhatIfForm({
  preview,
  onAsk,
  isPending,
}: {
  preview: Preview;
  onAsk: (asked: Asked) => void;
  isPending: boolean;
}) {
  const t = useT();
  const [window, setWindow] = useState<string | null>('0');
  const [without, setWithout] = useState('');
  const [away, setAway] = useState('');
  const nothing = { value: '', label: t('shareOut.whatIf.nothing') };
  const nobody = { value: '', label: t('shareOut.whatIf.nobody') };
  return (
    <Form
      label={t('shareOut.whatIf.title')}
      onSubmit={() =>
        onAsk({
          ...(window !== null && window !== '0' && window !== '' ? { varietyWindow: window } : {}),
          ...(without === '' ? {} : { without }),
          ...(away === '' ? {} : { away }),
        })
      }
      acts={
        <Button type="submit" isPending={isPending}>
          {t('shareOut.whatIf.show')}
        </Button>
      }
    >
      <Fields>
        <DecimalField name="varietyWindow" label={t('shareOut.whatIf.window')} value={window} onChange={setWindow} />
        <Select
          name="without"
          label={t('shareOut.whatIf.without')}
          options={[
            nothing,
            ...preview.batches.map(({ id, code, dish }) => ({ value: id, label: `${dish} (${code})` })),
          ]}
          value={without}
          onChange={setWithout}
        />
        <Select
          name="away"
          label={t('shareOut.whatIf.away')}
          options={[nobody, ...preview.parts.map(({ household }) => ({ value: household.id, label: household.name }))]}
          value={away}
          onChange={setAway}
        />
      </Fields>
    </Form>
  );
}

function getsWords({ received, dishes }: PreviewPart, t: Translate, formats: Formats): string {
  const named = dishes.map(({ name, portions }) =>
    t('shareOut.whatIf.dish', { dish: name, portions: formats.number(portions) }),
  );
  return t('shareOut.whatIf.gets', { portions: formats.quantity(received), dishes: formats.list(named) });
}

/** What a change makes of one household's part, in sentences. */
function differenceWords(
  now: PreviewPart | null,
  changed: PreviewPart | null,
  t: Translate,
  formats: Formats,
): string[] {
  if (!changed) return now ? [t('shareOut.whatIf.out', { before: formats.quantity(now.received) })] : [];
  const before = now ?? { ...changed, received: '0', dishes: [], owedAfter: '0' };
  const moves = differenceOf(before.dishes, changed.dishes);
  const isSame = rational.eq(rational.parse(before.received), rational.parse(changed.received));
  const portions = formats.quantity(changed.received);
  return [
    isSame
      ? t('shareOut.whatIf.same', { portions })
      : t('shareOut.whatIf.instead', { portions, before: formats.quantity(before.received) }),
    ...moves.map(({ name, by }) =>
      t(by > 0 ? 'shareOut.whatIf.more' : 'shareOut.whatIf.less', {
        dish: name,
        portions: formats.number(Math.abs(by)),
      }),
    ),
    ...(isSame && moves.length === 0
      ? []
      : [
          t('shareOut.whatIf.after', {
            after: balanceWords(rational.parse(changed.owedAfter), t, formats),
            before: balanceWords(rational.parse(before.owedAfter), t, formats),
          }),
        ]),
  ];
}
