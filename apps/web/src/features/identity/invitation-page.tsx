import { useQueryClient } from '@tanstack/react-query';
import { getRouteApi, useNavigate } from '@tanstack/react-router';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { beginSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { TextField } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { Gate } from '../../ui/gate.tsx';
import { ProblemBox } from '../../ui/problem-box.tsx';

const route = getRouteApi('/invitation');

export function InvitationPage() {
  const t = useT();
  const { cooperative, token } = route.useSearch();
  return (
    <Gate title={t('signIn.invitation.title')} lead={t('signIn.invitation.lead')}>
      {cooperative && token ? (
        <AcceptForm cooperativeId={cooperative} token={token} />
      ) : (
        <ProblemBox title={t('signIn.invitation.broken')}>
          <p>{t('signIn.invitation.broken.words')}</p>
        </ProblemBox>
      )}
    </Gate>
  );
}

function AcceptForm({ cooperativeId, token }: { cooperativeId: string; token: string }) {
  const t = useT();
  const queryClient = useQueryClient();
  const navigate = useNavigate();
  const accept = useWrite({
    write: (body: Schemas['AcceptInvitation'], headers) => ok(api.POST('/api/invitations/accept', { body, headers })),
    onSuccess: (me) => {
      beginSession(queryClient, me, cooperativeId);
      return navigate({ to: '/' });
    },
  });
  const submit = (data: FormData) =>
    accept.mutate({
      cooperativeId,
      token,
      displayName: String(data.get('displayName')),
      email: String(data.get('email')),
      password: String(data.get('password')),
    });
  return (
    <Card>
      <Form
        label={t('signIn.invitation.title')}
        onSubmit={submit}
        error={accept.error}
        acts={
          <Button kind="main" type="submit" isPending={accept.isPending}>
            {t('signIn.invitation.accept')}
          </Button>
        }
      >
        <TextField label={t('signIn.setUp.yourName')} name="displayName" autoComplete="name" required maxLength={120} />
        <TextField label={t('signIn.email')} name="email" type="email" autoComplete="username" required dir="ltr" />
        <TextField
          label={t('signIn.password')}
          hint={t('signIn.setUp.newPassword.hint')}
          name="password"
          type="password"
          autoComplete="new-password"
          minLength={10}
          required
          dir="ltr"
        />
      </Form>
    </Card>
  );
}
