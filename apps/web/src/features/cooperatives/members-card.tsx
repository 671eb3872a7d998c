import { useFormats } from '../../lib/formats.ts';
import type { Household } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { List, ListRow } from '../../ui/list.tsx';

/** Who has an account for the household, and what each may do. */
export function MembersCard({ household }: { household: Household }) {
  const t = useT();
  const formats = useFormats();
  const { can } = useSession();
  return (
    <Card title={t('household.members')}>
      {household.members.length === 0 ? (
        <p className="soft">{t('household.noMembers')}</p>
      ) : (
        <List>
          {household.members.map(({ personId, displayName, roles }) => (
            <ListRow
              key={personId}
              title={displayName}
              detail={formats.list(roles.map((role) => t(`household.role.${role}`)))}
            />
          ))}
        </List>
      )}
      {can('coordinator') && (
        <LinkButton to="/coordinator" hash="invite">
          {t('household.inviteSomebody')}
        </LinkButton>
      )}
    </Card>
  );
}
