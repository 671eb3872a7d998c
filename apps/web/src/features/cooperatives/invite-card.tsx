import { useEffect, useState } from 'react';
import { api, isProblem, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import type { Household } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId, type Role } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { Choices, Select, TextField } from '../../ui/fields.tsx';
import { focusLater } from '../../ui/focus-later.ts';
import { Form } from '../../ui/form.tsx';
import { Row, Stack } from '../../ui/page.tsx';
import { say } from '../../ui/toast.tsx';
import { useAddHousehold } from './use-add-household.ts';

/** How long a link works, as the server decides it. */
const DAYS_VALID = 14;
const NEW = 'new';
const ROLES = ['adult', 'buyer', 'coordinator', 'reader'] as const;
type Place = (typeof ROLES)[number];

/** Who buys or coordinates also acts for the own household. */
const rolesOf = (place: Place): Role[] => (place === 'buyer' || place === 'coordinator' ? [place, 'adult'] : [place]);

interface MadeLink {
  address: string;
  expiresAt: string;
  household: string;
}

/** Makes a link for one person; it is shown once and kept nowhere. */
export function InviteCard({ households }: { households: readonly Household[] }) {
  const t = useT();
  const [made, setMade] = useState<MadeLink | null>(null);
  const show = (link: MadeLink) => {
    setMade(link);
    focusLater('#invite .button-main');
  };
  useEffect(() => {
    // The card comes after the page, so the browser could not go to it by itself.
    if (location.hash === '#invite') document.getElementById('invite')?.scrollIntoView();
  }, []);
  return (
    <Card
      title={made ? t('coordinator.invite.ready', { household: made.household }) : t('coordinator.invite')}
      id="invite"
    >
      {made ? (
        <ReadyLink made={made} onAnother={() => setMade(null)} />
      ) : (
        <InviteForm households={households} onMade={show} />
      )}
    </Card>
  );
}

function useInvite() {
  const cooperativeId = useCooperativeId();
  return useWrite<Schemas['Invite'], Schemas['Invitation']>({
    write: (body, headers) =>
      ok(
        api.POST('/api/cooperatives/{cooperativeId}/invitations', {
          params: { path: { cooperativeId } },
          body,
          headers,
        }),
      ),
  });
}

function InviteForm(props: { households: readonly Household[]; onMade: (link: MadeLink) => void }) {
  const t = useT();
  const { households, onMade } = props;
  const [householdId, setHousehold] = useState(NEW);
  const [newName, setNewName] = useState('');
  const [place, setPlace] = useState<Place>('adult');
  const addHousehold = useAddHousehold();
  const invite = useInvite();
  const isTaken = isProblem(addHousehold.error, 'conflict');

  const make = async () => {
    let household = households.find(({ id }) => id === householdId);
    if (householdId === NEW) {
      household = await addHousehold.mutateAsync({ name: newName, freezerLitres: null, ownWeight: null });
      // Should the link fail now, the household is there and must not be made again.
      setHousehold(household.id);
    }
    if (!household) return;
    const { path, expiresAt } = await invite.mutateAsync({ householdId: household.id, roles: rolesOf(place) });
    onMade({ address: location.origin + path, expiresAt, household: household.name });
  };
  return (
    <Form
      label={t('coordinator.invite')}
      // A refusal is shown by the form itself.
      onSubmit={() => void make().catch(() => undefined)}
      error={isTaken ? null : (addHousehold.error ?? invite.error)}
      acts={
        <Button kind="main" type="submit" isPending={addHousehold.isPending || invite.isPending}>
          {t('coordinator.invite.make')}
        </Button>
      }
    >
      <p className="soft measure">{t('coordinator.inviteWords', { days: DAYS_VALID })}</p>
      <Select
        label={t('coordinator.invite.household')}
        name="householdId"
        value={householdId}
        onChange={setHousehold}
        options={[
          { value: NEW, label: t('coordinator.invite.new') },
          ...households.map(({ id, name }) => ({ value: id, label: name })),
        ]}
      />
      {householdId === NEW && (
        <TextField
          name="name"
          label={t('coordinator.invite.newName')}
          required
          maxLength={120}
          value={newName}
          onChange={setNewName}
          error={isTaken ? t('household.nameTaken') : undefined}
        />
      )}
      <Choices
        name="place"
        label={t('coordinator.invite.role')}
        value={place}
        onChange={(value) => setPlace(value as Place)}
        options={ROLES.map((value) => ({ value, label: t(`coordinator.invite.role.${value}`) }))}
      />
    </Form>
  );
}

function ReadyLink({ made, onAnother }: { made: MadeLink; onAnother: () => void }) {
  const t = useT();
  const formats = useFormats();
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(made.address);
      say(t('coordinator.invite.copied'));
    } catch {
      say(t('coordinator.invite.copyFailed'));
    }
  };
  return (
    <Stack>
      <p className="invite-link" dir="ltr" role="status" aria-label={t('coordinator.invite.link')}>
        {made.address}
      </p>
      <p>{t('coordinator.invite.once', { when: formats.dayTime(made.expiresAt) })}</p>
      <Row>
        <Button kind="main" onPress={() => void copy()}>
          {t('coordinator.invite.copy')}
        </Button>
        <Button onPress={onAnother}>{t('coordinator.invite.another')}</Button>
      </Row>
    </Stack>
  );
}
