import { useState } from 'react';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { Row } from '../../ui/page.tsx';

/** Another size of container than the recipe plans: a number of portions that is not in the list yet. */
export function AddSize({ taken, onAdd }: { taken: readonly number[]; onAdd: (portions: number) => void }) {
  const t = useT();
  const [isOpen, setOpen] = useState(false);
  const [portions, setPortions] = useState<string | null>(null);
  const [error, setError] = useState<string>();
  if (!isOpen) {
    return (
      <Row>
        <Button tall onPress={() => setOpen(true)}>
          {t('kitchen.otherSize')}
        </Button>
      </Row>
    );
  }
  const add = () => {
    const size = Number(portions ?? '0');
    if (size < 1 || size > 100) setError(t('kitchen.sizeBetween'));
    else if (taken.includes(size)) setError(t('kitchen.sizeThere'));
    else {
      onAdd(size);
      setOpen(false);
      setPortions(null);
    }
  };
  return (
    <div className="row kitchen-size">
      <DecimalField
        label={t('kitchen.portionsInEach')}
        decimals={0}
        tall
        value={portions}
        error={error}
        onChange={(value) => {
          setError(undefined);
          setPortions(value);
        }}
      />
      <Button tall onPress={add}>
        {t('common.add')}
      </Button>
    </div>
  );
}
