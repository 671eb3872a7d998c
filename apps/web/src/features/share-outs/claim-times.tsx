import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { localDateOf } from '../../lib/format/dates.ts';
import { instantOf, timeIn } from '../../lib/format/zoned-time.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId, useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { Fields, Form } from '../../ui/form.tsx';
import { TextField } from '../../ui/fields.tsx';
import { say } from '../../ui/toast.tsx';
import { shareOutQuery, type ShareOut } from './share-out-query.ts';

type Window = NonNullable<ShareOut['window']>;

/** As a field for date and time takes and gives it, in the cooperative's zone: "2026-11-30T20:00". */
const toField = (instant: string, zone: string): string => `${localDateOf(instant, zone)}T${timeIn(instant, zone)}`;
const fromField = (local: string, zone: string): string => instantOf(local.slice(0, 10), local.slice(11, 16), zone);

/** When claims open or close, in words; nothing where there is no limit. */
export function ClaimTimes({ shareOut: { policy, window } }: { shareOut: ShareOut }) {
  const t = useT();
  const formats = useFormats();
  if (policy === 'none') return <span className="small soft">{t('shareOut.noClaims')}</span>;
  if (!window) return null;
  const now = new Date().toISOString();
  const at = (instant: string) => formats.dayTimeZone(instant);
  return (
    <span className="small">
      {now < window.opensAt
        ? t('shareOut.opensOn', { at: at(window.opensAt) })
        : now < window.closesAt
          ? t('shareOut.openUntil', { at: at(window.closesAt) })
          : t('shareOut.closedOn', { at: at(window.closesAt) })}
    </span>
  );
}

/** The coordinator sets both instants, in the cooperative's zone. */
export function ClaimWindowForm({ shareOut }: { shareOut: ShareOut }) {
  const t = useT();
  const { timeZone } = useSession().cooperative;
  const formats = useFormats();
  const { window } = shareOut;
  const [opens, setOpens] = useState(window ? toField(window.opensAt, timeZone) : '');
  const [closes, setCloses] = useState(window ? toField(window.closesAt, timeZone) : '');
  const [isLate, setLate] = useState(true);
  const save = useSaveWindow(shareOut);
  return (
    <Card title={t('shareOut.window.title')}>
      <p className="measure soft">{t('shareOut.window.words')}</p>
      {formats.foreignZone && <p className="small">{t('common.foreignZone', { zone: timeZone })}</p>}
      <Form
        label={t('shareOut.window.title')}
        error={save.error}
        isReady={() => {
          setLate(opens < closes);
          return opens < closes;
        }}
        onSubmit={() => save.mutate({ opensAt: fromField(opens, timeZone), closesAt: fromField(closes, timeZone) })}
        acts={
          <>
            <Button type="submit" isPending={save.isPending}>
              {t('shareOut.window.save')}
            </Button>
            {window && (
              <Button kind="plain" onPress={() => save.mutate(null)}>
                {t('shareOut.window.clear')}
              </Button>
            )}
          </>
        }
      >
        <Fields two>
          <TextField
            name="opensAt"
            type="datetime-local"
            label={t('shareOut.window.opens')}
            required
            value={opens}
            onChange={setOpens}
          />
          <TextField
            name="window/closesAt"
            type="datetime-local"
            label={t('shareOut.window.closes')}
            required
            value={closes}
            onChange={setCloses}
            error={isLate ? undefined : t('shareOut.window.order')}
          />
        </Fields>
      </Form>
    </Card>
  );
}

function useSaveWindow({ roundId }: ShareOut) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const queryClient = useQueryClient();
  return useWrite<Window | null, ShareOut>({
    write: (window, headers) =>
      ok<ShareOut>(
        api.PUT('/api/cooperatives/{cooperativeId}/rounds/{roundId}/claim-window', {
          params: { path: { cooperativeId, roundId } },
          body: { window },
          headers,
        }),
      ),
    topics: ['share-outs'],
    onSuccess: (next) => {
      queryClient.setQueryData(shareOutQuery(cooperativeId, roundId).queryKey, next);
      say(t('shareOut.said.window'));
    },
  });
}
