import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';

/** Up, down and remove for one row of a form; `what` names the row. */
export function MoveButtons(props: {
  what: string;
  index: number;
  count: number;
  onMove: (by: -1 | 1) => void;
  onRemove: () => void;
}) {
  const t = useT();
  const { what, index, count } = props;
  return (
    <div className="part-row-acts row">
      <Button
        kind="plain"
        isDisabled={index === 0}
        aria-label={t('recipes.upNamed', { what })}
        onPress={() => props.onMove(-1)}
      >
        {t('recipes.up')}
      </Button>
      <Button
        kind="plain"
        isDisabled={index === count - 1}
        aria-label={t('recipes.downNamed', { what })}
        onPress={() => props.onMove(1)}
      >
        {t('recipes.down')}
      </Button>
      <Button
        kind="plain"
        isDisabled={count === 1}
        aria-label={t('recipes.removeNamed', { what })}
        onPress={props.onRemove}
      >
        {t('common.remove')}
      </Button>
    </div>
  );
}
