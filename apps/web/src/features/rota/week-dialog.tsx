import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { householdsQuery } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { Tick } from '../../ui/fields.tsx';
import { Row } from '../../ui/page.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import type { Draft, DraftWeek } from './rota-queries.ts';
import { turnsOf, useDraft } from './use-draft.ts';

/** Who cooks in one week of a draft, set by hand, and whether that stays when the draft is worked out again. */
export function WeekDialog({ draft, week, onClose }: { draft: Draft; week: DraftWeek; onClose: () => void }) {
  const t = useT();
  const formats = useFormats();
  const { cooperativeId } = useSession();
  const households = useQuery(householdsQuery(cooperativeId)).data ?? [];
  const [cooks, setCooks] = useState(() => new Set(week.turns.map(({ household }) => household.id)));
  const [kept, setKept] = useState(true);
  const change = useDraft(draft);
  const save = () => {
    const others = turnsOf(draft).filter(({ weekOf }) => weekOf !== week.weekOf);
    const own = [...cooks].map((householdId) => ({ weekOf: week.weekOf, householdId, kept }));
    change.mutate({ act: 'turns', turns: [...others, ...own] }, { onSuccess: onClose });
  };
  const toggle = (id: string, on: boolean) => {
    const next = new Set(cooks);
    if (on) next.add(id);
    else next.delete(id);
    setCooks(next);
  };
  return (
    <Dialog isOpen onClose={onClose} title={t('rota.weekTitle', { date: formats.day(week.weekOf, 'short') })}>
      <p className="soft">{t('rota.weekWords', { n: week.team })}</p>
      <fieldset className="choices">
        <legend>{t('rota.cooks')}</legend>
        {households
          .filter(({ leftOn }) => leftOn === null)
          .map(({ id, name }) => (
            <Tick key={id} isSelected={cooks.has(id)} onChange={(on) => toggle(id, on)}>
              {name}
            </Tick>
          ))}
      </fieldset>
      <Tick isSelected={kept} onChange={setKept}>
        {t('rota.keepThis')}
      </Tick>
      <Problem error={change.error} />
      <Row>
        <Button onPress={save} isPending={change.isPending}>
          {t('common.save')}
        </Button>
        <Button kind="plain" onPress={onClose}>
          {t('common.cancel')}
        </Button>
      </Row>
    </Dialog>
  );
}
