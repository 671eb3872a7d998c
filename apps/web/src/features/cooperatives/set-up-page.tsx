import { useQueryClient } from '@tanstack/react-query';
import { useNavigate } from '@tanstack/react-router';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useLocale } from '../../lib/locale.tsx';
import { LANGUAGE_NAMES, LANGUAGES } from '../../lib/messages/languages.ts';
import { beginSession } from '../../lib/session.tsx';
import { Button, LinkButton } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { Select, TextField } from '../../ui/fields.tsx';
import { Fields, Form } from '../../ui/form.tsx';
import { Gate } from '../../ui/gate.tsx';
import { currencyOptions, timeZoneOptions } from './places.ts';

export function SetUpPage() {
  const { t } = useLocale();
  const queryClient = useQueryClient();
  const navigate = useNavigate();
  const setUp = useWrite({
    write: (body: Schemas['SetUp'], headers) => ok(api.POST('/api/cooperatives', { body, headers })),
    onSuccess: (me) => {
      beginSession(queryClient, me, me.memberships.at(-1)?.cooperativeId);
      return navigate({ to: '/' });
    },
  });
  // The fields carry the names of the contract, so what they hold is the body; the server checks each again.
  const submit = (data: FormData) => setUp.mutate(Object.fromEntries(data) as unknown as Schemas['SetUp']);
  return (
    <Gate title={t('signIn.setUp.title')} lead={t('signIn.setUp.lead')}>
      <Form
        label={t('signIn.setUp.title')}
        onSubmit={submit}
        error={setUp.error}
        acts={
          <>
            <Button kind="main" type="submit" isPending={setUp.isPending}>
              {t('signIn.setUp.submit')}
            </Button>
            <LinkButton kind="plain" to="/sign-in">
              {t('signIn.setUp.back')}
            </LinkButton>
          </>
        }
      >
        <CooperativeFields />
        <PersonFields />
        <Note>{t('signIn.setUp.foodRules')}</Note>
      </Form>
    </Gate>
  );
}

function CooperativeFields() {
  const { t, language, locale } = useLocale();
  const units = (['metric', 'us', 'imperial'] as const).map((value) => ({
    value,
    label: t(`signIn.setUp.units.${value}`),
  }));
  const zones = timeZoneOptions();
  return (
    <Card title={t('signIn.setUp.cooperative')}>
      <TextField label={t('signIn.setUp.name')} name="name" required maxLength={120} autoComplete="organization" />
      <Fields two>
        <Select
          label={t('signIn.setUp.currency')}
          name="currency"
          options={currencyOptions(locale)}
          defaultValue="EUR"
        />
        <Select label={t('signIn.setUp.timeZone')} name="timeZone" options={zones.options} defaultValue={zones.here} />
        <Select
          label={t('signIn.setUp.language')}
          name="locale"
          options={LANGUAGES.map((code) => ({ value: code, label: LANGUAGE_NAMES[code] }))}
          defaultValue={language}
        />
        <Select label={t('signIn.setUp.units')} name="unitSystem" options={units} defaultValue="metric" />
      </Fields>
    </Card>
  );
}

function PersonFields() {
  const { t } = useLocale();
  return (
    <Card title={t('signIn.setUp.you')}>
      <Fields two>
        <TextField label={t('signIn.setUp.household')} name="householdName" required maxLength={120} />
        <TextField label={t('signIn.setUp.yourName')} name="displayName" autoComplete="name" required maxLength={120} />
      </Fields>
      <TextField label={t('signIn.email')} name="email" type="email" autoComplete="username" required dir="ltr" />
      <TextField
        label={t('signIn.setUp.newPassword')}
        hint={t('signIn.setUp.newPassword.hint')}
        name="password"
        type="password"
        autoComplete="new-password"
        minLength={10}
        required
        dir="ltr"
      />
    </Card>
  );
}
