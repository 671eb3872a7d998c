import type { ReactNode } from 'react';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Tick } from '../../ui/fields.tsx';
import { LabelCodes } from '../../ui/label-code.tsx';
import type { Container } from './swap-query.ts';
import './swaps.css';

/** Containers of one household to tick, the earliest best-before first. One that waits in another swap may not be chosen. */
export function ChooseContainers(props: {
  title: string;
  containers: readonly Container[];
  chosen: readonly string[];
  empty: ReactNode;
  withAllergens?: boolean;
  onChange: (chosen: string[]) => void;
}) {
  const { title, containers, chosen, onChange } = props;
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  const change = (id: string) => (selected: boolean) =>
    onChange(selected ? [...chosen, id] : chosen.filter((one) => one !== id));
  return (
    <fieldset className="choices">
      <legend>{title}</legend>
      {containers.length === 0 && props.empty}
      <div className="choose-list">
        {containers.map((container) => (
          <Tick
            key={container.id}
            isSelected={chosen.includes(container.id)}
            isDisabled={container.offered && !chosen.includes(container.id)}
            onChange={change(container.id)}
          >
            <strong>{container.dish}</strong>
            <span className="table-cell-note">
              {t('common.portions', { n: container.portions })} ·{' '}
              {t('swaps.bestBefore', { date: formats.day(container.bestBefore, 'dated') })} ·{' '}
              <LabelCodes codes={[container.code]} />
              {props.withAllergens && <> · {food.allergens(container.allergens)}</>}
              {container.offered && <> · {t('swaps.offeredAlready')}</>}
            </span>
          </Tick>
        ))}
      </div>
    </fieldset>
  );
}
