import { useQueryClient } from '@tanstack/react-query';
import { api, ifMatch, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession, type Me } from '../../lib/session.tsx';
import { Card } from '../../ui/card.tsx';
import { Tick } from '../../ui/fields.tsx';
import { Problem } from '../../ui/problem-box.tsx';

/** Whether notices come to me by mail as well. */
export function ByMailCard() {
  const t = useT();
  const { me } = useSession();
  const queryClient = useQueryClient();
  const change = useWrite<boolean, Me>({
    write: (wantsMail, headers) =>
      ok(api.PATCH('/api/me', { body: { wantsMail }, headers: { ...headers, ...ifMatch(me.version) } })),
    onSuccess: (next) => {
      queryClient.setQueryData(['me'], next);
    },
  });
  return (
    <Card>
      <Problem error={change.problem} />
      <Tick isSelected={me.wantsMail} onChange={(on) => change.mutate(on)}>
        {t('notices.byMail', { email: me.email })}
      </Tick>
      <p className="small soft">{t('notices.byMailNote')}</p>
    </Card>
  );
}
