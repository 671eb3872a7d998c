import { useFoodWords } from '../../lib/food-words.ts';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { Row } from '../../ui/page.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { containersHold, emptyContainer, type ContainerDraft, type RecipeDraft } from './recipe-draft.ts';

interface ContainerFieldsProps {
  draft: RecipeDraft;
  set: (change: Partial<RecipeDraft>) => void;
  /** Saving was tried: what does not fit is an error now. */
  isTried: boolean;
}

/** The containers that a batch is sealed into; what they hold must be the batch's portions. */
export function ContainerFields({ draft, set, isTried }: ContainerFieldsProps) {
  const t = useT();
  const food = useFoodWords();
  const held = containersHold(draft);
  const isEven = draft.portions !== null && String(held) === draft.portions;
  const change = (index: number, part: Partial<ContainerDraft>) =>
    set({ containers: draft.containers.map((old, each) => (each === index ? { ...old, ...part } : old)) });
  return (
    <>
      <h3>{t('recipes.containers')}</h3>
      {draft.containers.map((container, index) => (
        <fieldset className="part-row part-row-two" key={index}>
          <legend>{t('recipes.containerSize', { number: index + 1 })}</legend>
          <DecimalField
            name={`containerPlan/${index}/count`}
            label={t('recipes.howMany')}
            decimals={0}
            required
            value={container.count}
            error={isTried && index === 0 && held > 0 && !isEven ? t('recipes.containersMustFit') : undefined}
            onChange={(count) => change(index, { count })}
          />
          <DecimalField
            name={`containerPlan/${index}/portions`}
            label={t('recipes.portionsInEach')}
            decimals={0}
            required
            value={container.portions}
            onChange={(portions) => change(index, { portions })}
          />
          <DecimalField
            name={`containerPlan/${index}/millilitres`}
            label={t('recipes.size')}
            unit={food.unitName('mL')}
            decimals={0}
            value={container.millilitres}
            onChange={(millilitres) => change(index, { millilitres })}
          />
          {draft.containers.length > 1 && (
            <div className="part-row-acts">
              <Button
                kind="plain"
                aria-label={t('recipes.removeSize', { number: index + 1 })}
                onPress={() => set({ containers: draft.containers.filter((_, each) => each !== index) })}
              >
                {t('common.remove')}
              </Button>
            </div>
          )}
        </fieldset>
      ))}
      {draft.portions !== null && held > 0 && (
        <p role="status">
          {isEven ? (
            <StateMark state="done">{t('recipes.containersFit', { n: held })}</StateMark>
          ) : (
            <StateMark state="problem">
              {t('recipes.containersDiffer', { held, portions: Number(draft.portions) })}
            </StateMark>
          )}
        </p>
      )}
      <Row>
        <Button onPress={() => set({ containers: [...draft.containers, emptyContainer()] })}>
          {t('recipes.addSize')}
        </Button>
      </Row>
    </>
  );
}
