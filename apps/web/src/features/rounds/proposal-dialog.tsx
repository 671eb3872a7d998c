import { rational } from '@frostmoot/calc';
import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { unitChoices, useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { ingredientsQuery } from '../../lib/recipe-queries.ts';
import type { Round } from '../../lib/round-stage.ts';
import { useCooperativeId } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { Select, Tick } from '../../ui/fields.tsx';
import { Fields, Form } from '../../ui/form.tsx';
import { JobProgress } from '../../ui/job-progress.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { Row } from '../../ui/page.tsx';
import { say } from '../../ui/toast.tsx';
import { ProposalResult } from './proposal-result.tsx';
import { offersOn, packsQuery, useProposal, wantedOfProposal } from './proposal.ts';
import type { Dishes } from './use-dishes.ts';

const OWN_PACK = 'own';

const STAGES = ['dishes-search', 'dishes-prove', 'dishes-cost'] as const;

const minutesOf = (hours: string): number =>
  Number(rational.floor(rational.mul(rational.parse(hours), rational.parse('60'))));

interface ProposalDialogProps {
  round: Round;
  dishes: Dishes;
  isOpen: boolean;
  onClose: () => void;
}

/** From something that is cheap now, or from the headcount alone, to dishes and batches; nothing is changed before somebody takes them. */
export function ProposalDialog(props: ProposalDialogProps) {
  const t = useT();
  return (
    <Dialog title={t('round.proposal.open')} isOpen={props.isOpen} onClose={props.onClose}>
      <Proposing {...props} />
    </Dialog>
  );
}

function Proposing({ round, dishes, onClose }: ProposalDialogProps) {
  const t = useT();
  const formats = useFormats();
  const cooperativeId = useCooperativeId();
  const { ask, job, stop, isWorking, proposal } = useProposal(round);
  const ingredients = useQuery(ingredientsQuery(cooperativeId)).data ?? [];
  const [ingredient, setIngredient] = useState('');
  const [packs, setPacks] = useState<string | null>('1');
  const [pack, setPack] = useState<Pack>({ offerId: '', quantity: '1', unit: 'kg' });
  const [variety, setVariety] = useState<string | null>('3');
  const [batchesAtMost, setBatchesAtMost] = useState<string | null>(null);
  const [hoursAtMost, setHoursAtMost] = useState<string | null>(null);
  const [portionsAtMost, setPortionsAtMost] = useState<string | null>(null);
  const [keep, setKeep] = useState(true);
  const send = () =>
    ask.mutate({
      atHand:
        ingredient === ''
          ? []
          : [
              {
                ingredientId: ingredient,
                packs: Number(packs),
                packQuantity: pack.quantity ?? '0',
                packUnit: pack.unit,
              },
            ],
      variety: Number(variety),
      batchesAtMost: batchesAtMost === null ? null : Number(batchesAtMost),
      minutesAtMost: hoursAtMost === null ? null : minutesOf(hoursAtMost),
      portionsAtMost: portionsAtMost === null ? null : Number(portionsAtMost),
      keep,
    });
  const take = () => {
    if (!proposal) return;
    const before = dishes.dishes;
    dishes.change(wantedOfProposal(before, proposal));
    say(t('round.proposal.taken'), () => dishes.change(before));
    onClose();
  };
  return (
    <>
      <p className="soft">{t('round.proposal.words', { wanted: formats.quantity(round.portionsWanted) })}</p>
      <Form
        label={t('round.proposal.open')}
        onSubmit={send}
        problem={ask.problem}
        error={ask.problem ? null : ask.error}
        acts={
          <>
            {!isWorking && (
              <Button type="submit">{t(proposal ? 'round.proposal.again' : 'round.proposal.work')}</Button>
            )}
            {!proposal && !isWorking && (
              <Button kind="plain" onPress={onClose}>
                {t('common.cancel')}
              </Button>
            )}
          </>
        }
      >
        <Select
          name="atHand/0/ingredientId"
          label={t('round.proposal.ingredient')}
          value={ingredient}
          onChange={setIngredient}
          options={[
            { value: '', label: t('round.proposal.noIngredient') },
            ...ingredients.map(({ id, name }) => ({ value: id, label: name })),
          ]}
        />
        {ingredient !== '' && (
          <PackFields key={ingredient} {...{ round, ingredient, pack, setPack, packs, setPacks }} />
        )}
        <Fields two>
          <DecimalField
            name="variety"
            label={t('round.proposal.variety')}
            required
            decimals={0}
            value={variety}
            onChange={setVariety}
          />
          <DecimalField
            name="batchesAtMost"
            label={t('round.proposal.batchesAtMost')}
            hint={t('round.proposal.batchesAtMostHint')}
            decimals={0}
            value={batchesAtMost}
            onChange={setBatchesAtMost}
          />
          <DecimalField
            name="minutesAtMost"
            label={t('round.proposal.hoursAtMost')}
            hint={t('round.proposal.hoursAtMostHint')}
            decimals={2}
            value={hoursAtMost}
            onChange={setHoursAtMost}
          />
          <DecimalField
            name="portionsAtMost"
            label={t('round.proposal.portionsAtMost')}
            hint={t('round.proposal.portionsAtMostHint')}
            decimals={0}
            value={portionsAtMost}
            onChange={setPortionsAtMost}
          />
        </Fields>
        {dishes.dishes.length > 0 && (
          <Tick isSelected={keep} onChange={setKeep}>
            {t('round.proposal.keep')}
          </Tick>
        )}
      </Form>
      {job && (isWorking || job.problem) && (
        <JobProgress
          job={job}
          stop={stop}
          words={{
            stage: (code) => {
              const known = STAGES.find((stage) => stage === code);
              return known ? t(`round.proposal.job.${known}`) : null;
            },
            best: ({ portions, short }) =>
              t('round.proposal.job.best', {
                portions: formats.quantity(String(portions)),
                short: formats.quantity(String(short)),
              }),
          }}
        />
      )}
      {proposal && (
        <>
          {proposal.dishes.length === 0 ? (
            <p role="status">{t('round.proposal.none')}</p>
          ) : (
            <ProposalResult proposal={proposal} />
          )}
          <Row>
            {proposal.dishes.length > 0 && <Button onPress={take}>{t('round.proposal.take')}</Button>}
            <Button kind="plain" onPress={onClose}>
              {t('common.close')}
            </Button>
          </Row>
        </>
      )}
    </>
  );
}

interface Pack {
  offerId: string;
  quantity: string | null;
  unit: string;
}

/** How many packs there are and of what size: one that is sold, or another. */
function PackFields(props: {
  round: Round;
  ingredient: string;
  pack: Pack;
  setPack: (pack: Pack) => void;
  packs: string | null;
  setPacks: (packs: string | null) => void;
}) {
  const { round, ingredient, pack, setPack, packs, setPacks } = props;
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  const cooperativeId = useCooperativeId();
  const offers = offersOn(useQuery(packsQuery(cooperativeId, ingredient)).data ?? [], round.buyOn);
  const known = offers.some(({ id }) => id === pack.offerId);
  const first = offers[0];
  // The first pack that is sold is the likely one; until somebody chooses another it stands.
  if (!known && pack.offerId !== OWN_PACK && first) {
    setPack({ offerId: first.id, quantity: first.packQuantity, unit: first.packUnit });
  }
  const choose = (offerId: string) => {
    const offer = offers.find(({ id }) => id === offerId);
    setPack(offer ? { offerId, quantity: offer.packQuantity, unit: offer.packUnit } : { ...pack, offerId: OWN_PACK });
  };
  return (
    <>
      {offers.length > 0 && (
        <Select
          label={t('round.proposal.pack')}
          value={known ? pack.offerId : OWN_PACK}
          onChange={choose}
          options={[
            ...offers.map(({ id, label, seller, priceMinor }) => ({
              value: id,
              label: t('round.proposal.packAt', { label, seller: seller.name, price: formats.money(priceMinor) }),
            })),
            { value: OWN_PACK, label: t('round.proposal.otherPack') },
          ]}
        />
      )}
      <Fields two>
        <DecimalField
          name="atHand/0/packs"
          label={t('round.proposal.packs')}
          required
          decimals={0}
          value={packs}
          onChange={setPacks}
        />
        {!known && (
          <>
            <DecimalField
              name="atHand/0/packQuantity"
              label={t('round.proposal.packHolds')}
              required
              value={pack.quantity}
              onChange={(quantity) => setPack({ ...pack, quantity })}
            />
            <Select
              name="atHand/0/packUnit"
              label={t('round.proposal.unit')}
              value={pack.unit}
              onChange={(unit) => setPack({ ...pack, unit })}
              options={unitChoices(food.measures).map((id) => ({ value: id, label: food.unitName(id) }))}
            />
          </>
        )}
      </Fields>
    </>
  );
}
