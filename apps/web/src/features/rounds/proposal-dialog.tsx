import { rational } from '@frostmoot/calc';
import { useQuery } from '@tanstack/react-query';
import { unitChoices, useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useKeptState } from '../../lib/kept-state.ts';
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

interface ProposalDraft {
  ingredient: string;
  packs: string | null;
  /** one that is sold, or one's own size */
  pack: { offerId: string; isOwn: boolean; quantity: string | null; unit: string };
  variety: string | null;
  batchesAtMost: string | null;
  hoursAtMost: string | null;
  portionsAtMost: string | null;
  keep: boolean;
}

const NEW: ProposalDraft = {
  ingredient: '',
  packs: '1',
  pack: { offerId: '', isOwn: false, quantity: '1', unit: 'kg' },
  variety: '3',
  batchesAtMost: null,
  hoursAtMost: null,
  portionsAtMost: null,
  keep: true,
};

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
  // As kept as the work itself, which goes on when the dialog is closed.
  const [draft, setDraft] = useKeptState<ProposalDraft>(`proposal-draft.${round.id}`, () => NEW);
  const set = (change: Partial<ProposalDraft>) => setDraft((old) => ({ ...old, ...change }));
  const { ingredient, packs, variety, batchesAtMost, hoursAtMost, portionsAtMost, keep } = draft;
  const offers = offersOn(useQuery(packsQuery(cooperativeId, ingredient)).data ?? [], round.buyOn);
  // The first pack that is sold is the likely one; until somebody chooses another it stands.
  const offer = draft.pack.isOwn ? undefined : (offers.find(({ id }) => id === draft.pack.offerId) ?? offers[0]);
  const pack = offer ? { quantity: offer.packQuantity, unit: offer.packUnit } : draft.pack;
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
        error={ask.error}
        acts={
          <>
            <Button type="submit" isPending={isWorking}>
              {t(proposal ? 'round.proposal.again' : 'round.proposal.work')}
            </Button>
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
          onChange={(next) => set({ ingredient: next, pack: NEW.pack, packs: NEW.packs })}
          options={[
            { value: '', label: t('round.proposal.noIngredient') },
            ...ingredients.map(({ id, name }) => ({ value: id, label: name })),
          ]}
        />
        {ingredient !== '' && <PackFields {...{ offers, offer, pack: draft.pack, packs, set }} />}
        <Fields two>
          <DecimalField
            name="variety"
            label={t('round.proposal.variety')}
            required
            decimals={0}
            value={variety}
            onChange={(next) => set({ variety: next })}
          />
          <DecimalField
            name="batchesAtMost"
            label={t('round.proposal.batchesAtMost')}
            hint={t('round.proposal.batchesAtMostHint')}
            decimals={0}
            value={batchesAtMost}
            onChange={(next) => set({ batchesAtMost: next })}
          />
          <DecimalField
            name="minutesAtMost"
            label={t('round.proposal.hoursAtMost')}
            hint={t('round.proposal.hoursAtMostHint')}
            decimals={2}
            value={hoursAtMost}
            onChange={(next) => set({ hoursAtMost: next })}
          />
          <DecimalField
            name="portionsAtMost"
            label={t('round.proposal.portionsAtMost')}
            hint={t('round.proposal.portionsAtMostHint')}
            decimals={0}
            value={portionsAtMost}
            onChange={(next) => set({ portionsAtMost: next })}
          />
        </Fields>
        {dishes.dishes.length > 0 && (
          <Tick isSelected={keep} onChange={(next) => set({ keep: next })}>
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

/** How many packs there are and of what size: one that is sold, or another. */
function PackFields(props: {
  offers: ReturnType<typeof offersOn>;
  offer: ReturnType<typeof offersOn>[number] | undefined;
  pack: ProposalDraft['pack'];
  packs: string | null;
  set: (change: Partial<ProposalDraft>) => void;
}) {
  const { offers, offer, pack, packs, set } = props;
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  const choose = (offerId: string) => {
    const isOwn = offerId === OWN_PACK;
    const size = isOwn && offer ? { quantity: offer.packQuantity, unit: offer.packUnit } : pack;
    set({ pack: { ...pack, ...size, offerId, isOwn } });
  };
  return (
    <>
      {offers.length > 0 && (
        <Select
          label={t('round.proposal.pack')}
          value={offer?.id ?? OWN_PACK}
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
          onChange={(next) => set({ packs: next })}
        />
        {!offer && (
          <>
            <DecimalField
              name="atHand/0/packQuantity"
              label={t('round.proposal.packHolds')}
              required
              value={pack.quantity}
              onChange={(quantity) => set({ pack: { ...pack, quantity } })}
            />
            <Select
              name="atHand/0/packUnit"
              label={t('round.proposal.unit')}
              value={pack.unit}
              onChange={(unit) => set({ pack: { ...pack, unit } })}
              options={unitChoices(food.measures).map((id) => ({ value: id, label: food.unitName(id) }))}
            />
          </>
        )}
      </Fields>
    </>
  );
}
