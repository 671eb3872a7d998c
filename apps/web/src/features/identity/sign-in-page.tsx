import { useQueryClient } from '@tanstack/react-query';
import { getRouteApi, useRouter } from '@tanstack/react-router';
import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { beginSession, currentMembership, type Me } from '../../lib/session.tsx';
import { Button, LinkButton } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { TextField } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { Gate } from '../../ui/gate.tsx';
import { ProblemBox } from '../../ui/problem-box.tsx';
import { DemoAccounts } from './demo-accounts.tsx';
import { safeReturn } from './safe-return.ts';

const route = getRouteApi('/sign-in');

export function SignInPage() {
  const t = useT();
  const [noPlace, setNoPlace] = useState(false);
  const enter = useEnter(() => setNoPlace(true));
  const signIn = useWrite({
    write: (body: { email: string; password: string }, headers) => ok(api.POST('/api/sign-in', { body, headers })),
    onSuccess: enter,
  });
  const submit = (data: FormData) =>
    signIn.mutate({ email: String(data.get('email')), password: String(data.get('password')) });
  return (
    <Gate title={t('signIn.title')} lead={t('signIn.lead')}>
      <Card>
        {noPlace && <ProblemBox appeared title={t('signIn.notAMember')} />}
        <Form
          label={t('signIn.title')}
          onSubmit={submit}
          error={signIn.error}
          acts={
            <Button kind="main" type="submit" isPending={signIn.isPending}>
              {t('signIn.signIn')}
            </Button>
          }
        >
          <TextField label={t('signIn.email')} name="email" type="email" autoComplete="username" required dir="ltr" />
          <TextField
            label={t('signIn.password')}
            name="password"
            type="password"
            autoComplete="current-password"
            required
            dir="ltr"
          />
        </Form>
      </Card>
      <DemoAccounts isPending={signIn.isPending} onChoose={signIn.mutate} />
      <div className="row">
        <span className="soft">{t('signIn.setUp.ask')}</span>
        <LinkButton kind="plain" to="/set-up">
          {t('signIn.setUp.go')}
        </LinkButton>
      </div>
    </Gate>
  );
}

/** Goes to where the person wanted to go before signing in. */
function useEnter(onNoPlace: () => void) {
  const queryClient = useQueryClient();
  const router = useRouter();
  const search = route.useSearch();
  return async (me: Me) => {
    if (!currentMembership(me)) return onNoPlace();
    beginSession(queryClient, me);
    router.history.push(safeReturn(search.return));
  };
}
