import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Loading } from '../../ui/loading.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { turnHistoryQuery, type Turn, type TurnHistory as History } from './rota-queries.ts';

/** How a turn came to whoever has it now, when somebody asks. */
export function TurnHistory({ turn }: { turn: Turn }) {
  const t = useT();
  const formats = useFormats();
  const [isOpen, setOpen] = useState(false);
  return (
    <>
      <div>
        <Button kind="plain" aria-expanded={isOpen} onPress={() => setOpen(!isOpen)}>
          {t('rota.history')}
          <span className="hidden"> {formats.day(turn.weekOf, 'short')}</span>
        </Button>
      </div>
      {isOpen && <Moves turnId={turn.id} />}
    </>
  );
}

function Moves({ turnId }: { turnId: string }) {
  const t = useT();
  const formats = useFormats();
  const query = useQuery(turnHistoryQuery(useCooperativeId(), turnId));
  const words = useMoveWords();
  if (query.error) return <Problem error={query.error} />;
  if (!query.data) return <Loading lines={2} />;
  return (
    <ol className="rota-moves small" role="list">
      {query.data.moves.map((move, index) => (
        <li key={index}>
          {words(move)}{' '}
          <span className="soft">{t('rota.movedBy', { name: move.by, at: formats.dayTime(move.at) })}</span>
        </li>
      ))}
    </ol>
  );
}

function useMoveWords() {
  const t = useT();
  return ({ kind, from, to }: History['moves'][number]) => {
    const values = { from: from?.name ?? '', to: to?.name ?? '' };
    if (to === null) return t(from === null ? 'rota.moved.open' : 'rota.moved.gaveUp', values);
    if (from === null) return t(kind === 'published' ? 'rota.moved.published' : 'rota.moved.took', values);
    return t(kind === 'swap' ? 'rota.moved.swap' : 'rota.moved.instead', values);
  };
}
