import { rational } from '@frostmoot/calc';
import { useFormats } from '../../lib/formats.ts';
import type { Household } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { Row, Stack } from '../../ui/page.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import type { Diner } from './household-query.ts';
import { useRemoveDiner } from './use-diners.ts';
import { policyOf, weightOf, yearOf } from './weight-policy.ts';

/** Names what taking somebody out brings about, and asks once. */
export function RemoveDinerDialog(props: { household: Household; diner: Diner; onClose: () => void }) {
  const { household, diner, onClose } = props;
  const t = useT();
  const formats = useFormats();
  const { cooperative } = useSession();
  const remove = useRemoveDiner(household.id, diner, onClose);
  const counts = weightOf(diner, policyOf(cooperative), yearOf(cooperative.today));
  const before = rational.parse(household.weight);
  const { name } = diner;
  return (
    <Dialog title={t('household.remove.title', { name })} isOpen onClose={onClose}>
      <Stack>
        {counts && (
          <p>
            {t('household.remove.words', {
              before: formats.quantity(before),
              after: formats.quantity(rational.sub(before, counts)),
            })}
          </p>
        )}
        {(diner.restrictions ?? []).length > 0 && <p>{t('household.remove.restrictions', { name })}</p>}
        <Problem error={remove.error} />
        <Row>
          <Button onPress={() => remove.mutate()} isPending={remove.isPending}>
            {t('household.removeDiner', { name })}
          </Button>
          <Button kind="plain" onPress={onClose}>
            {t('household.remove.keep')}
          </Button>
        </Row>
      </Stack>
    </Dialog>
  );
}
