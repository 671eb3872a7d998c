import { useQuery } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { List, ListRow } from '../../ui/list.tsx';

/** The accounts of the made-up cooperative, for as long as no real one is set up; nothing otherwise. */
export function DemoAccounts(props: {
  isPending: boolean;
  onChoose: (account: { email: string; password: string }) => void;
}) {
  const t = useT();
  const formats = useFormats();
  const { data: demo } = useQuery({ queryKey: ['demo'], queryFn: () => ok(api.GET('/api/demo')), staleTime: 60_000 });
  if (!demo?.enabled) return null;
  return (
    <Card title={t('signIn.demo.title')}>
      <p className="soft">{t('signIn.demo.words')}</p>
      <List small>
        {demo.accounts.map(({ email, password, displayName, householdName, roles }) => (
          <ListRow
            key={email}
            title={displayName}
            detail={t('signIn.demo.who', {
              household: householdName,
              roles: formats.list(roles.map((role) => t(`signIn.role.${role}`))),
            })}
            acts={
              <Button
                aria-label={t('signIn.demo.as', { name: displayName })}
                isDisabled={props.isPending}
                onPress={() => props.onChoose({ email, password })}
              >
                {t('signIn.demo.enter')}
              </Button>
            }
          />
        ))}
      </List>
    </Card>
  );
}
