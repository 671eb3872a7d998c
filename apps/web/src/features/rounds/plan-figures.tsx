import { useFormats, type Formats } from '../../lib/formats.ts';
import { useT, type Translate } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { Figures } from '../../ui/figures.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { againstWanted } from './dish-draft.ts';
import { wholeMinor } from './dish-figures.ts';

const litresOf = (millilitres: number): string => `${millilitres}/1000`;

function portionsNote(round: Round, planned: number, t: Translate, formats: Formats) {
  const { kind, by } = againstWanted(planned, round.portionsWanted);
  const words = t(`round.figure.${kind}`, { portions: formats.quantity(by), dinners: round.dinners });
  return kind === 'short' ? <StateMark state="problem">{words}</StateMark> : words;
}

function costNote(round: Round, isSaving: boolean, t: Translate, formats: Formats): string {
  if (isSaving) return t('round.figure.working');
  return round.costMinor === null
    ? t('round.figure.noPrices')
    : t('round.figure.inAll', { amount: formats.money(round.costMinor) });
}

/** To feed, portions, what one portion costs, freezer space. Portions answer at once; prices follow when the plan is saved. */
export function PlanFigures({ round, planned, isSaving }: { round: Round; planned: number; isSaving: boolean }) {
  const t = useT();
  const formats = useFormats();
  const wanted = formats.quantity(round.portionsWanted);
  const cost = round.costPerPortionMinor;
  return (
    <Figures
      items={[
        {
          name: t('round.figure.toFeed'),
          value: t('common.people', { n: round.headcount }),
          note: t('round.figure.headcount', { weight: formats.quantity(round.totalWeight, { least: 1, most: 2 }) }),
        },
        {
          name: t('round.figure.portions'),
          value: t('round.figure.of', { planned, wanted }),
          note: portionsNote(round, planned, t, formats),
        },
        {
          name: t('round.figure.portionCosts'),
          value: cost === null ? t('round.figure.notKnown') : formats.money(wholeMinor(cost)),
          note: costNote(round, isSaving, t, formats),
        },
        {
          name: t('round.figure.space'),
          value: formats.unit(litresOf(round.freezerNeededMl), 'liter', { least: 0, most: 1 }, 'long'),
          note: t('round.figure.free', {
            litres: formats.quantity(litresOf(round.freezerFreeMl), { least: 0, most: 0 }),
          }),
        },
      ]}
    />
  );
}
