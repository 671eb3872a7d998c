import { useNavigate } from '@tanstack/react-router';
import { api, isProblem, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useKeptState } from '../../lib/kept-state.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Empty, Note } from '../../ui/card.tsx';
import { Select, TextArea } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { Columns, Stack } from '../../ui/page.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { say } from '../../ui/toast.tsx';
import { ChooseContainers } from './choose-containers.tsx';
import { KeepsWords, PortionsWords } from './part-box.tsx';
import type { Container, Swap, SwapBoard } from './swap-query.ts';

interface Draft {
  to: string;
  give: string[];
  get: string[];
  words: string;
}

/** What the link to the form names already: a container of ours to give, or one of theirs to ask for. */
function draftFrom({ board, offer, ask, answered }: Omit<ProposeProps, 'isMain'>): Draft {
  // From what they propose: the same the other way round, to be changed.
  if (answered)
    return {
      to: answered.from.id,
      give: answered.gets.map(({ id }) => id),
      get: answered.gives.map(({ id }) => id),
      words: '',
    };
  const asked = board.others.find(({ id }) => id === ask);
  return {
    to: asked?.holder?.id ?? '',
    give: board.mine.filter(({ id }) => id === offer).map(({ id }) => id),
    get: asked ? [asked.id] : [],
    words: '',
  };
}

const total = (containers: readonly Container[]): number => containers.reduce((sum, { portions }) => sum + portions, 0);

interface ProposeProps {
  board: SwapBoard;
  offer?: string;
  ask?: string;
  /** the proposal that this one answers */
  answered?: Swap;
  isMain: boolean;
}

/** Proposes a swap: mine, whose, theirs, a few words. What is chosen and typed stays until it is proposed or left. */
export function ProposeForm({ board, offer, ask, answered, isMain }: ProposeProps) {
  const t = useT();
  const navigate = useNavigate();
  const { cooperativeId, householdId } = useSession();
  const basis = `${cooperativeId} ${householdId} ${offer ?? ''} ${ask ?? ''} ${answered?.id ?? ''}`;
  const [draft, setDraft, forget] = useKeptState<Draft>(
    'swap-draft',
    () => draftFrom({ board, offer, ask, answered }),
    basis,
  );
  const leave = () => {
    setDraft(() => draftFrom({ board }));
    forget();
    void navigate({ to: '/swaps', search: {}, replace: true });
    document.querySelector('h1')?.focus();
  };
  const propose = useWrite<Schemas['ProposeSwap'], Swap>({
    write: (body, headers) =>
      ok<Swap>(
        api.POST('/api/cooperatives/{cooperativeId}/swaps', { params: { path: { cooperativeId } }, body, headers }),
      ),
    topics: ['swaps', 'stock', 'share-outs', 'rounds'],
    onSuccess: (swap) => {
      say(t('swaps.said.proposed', { other: swap.to.name }));
      leave();
    },
  });
  const theirs = board.others.filter(({ holder }) => holder?.id === draft.to);
  // What was chosen may have gone meanwhile; only what is still there counts.
  const give = board.mine.filter(({ id }) => draft.give.includes(id));
  const get = theirs.filter(({ id }) => draft.get.includes(id));
  const isReady = give.length > 0 && get.length > 0;
  const submit = () =>
    propose.mutate({
      fromHouseholdId: householdId,
      toHouseholdId: draft.to,
      giveContainerIds: give.map(({ id }) => id),
      getContainerIds: get.map(({ id }) => id),
      words: draft.words,
      answersId: answered?.id ?? null,
    });
  const acts = (
    <>
      <Button type="submit" kind={isMain ? 'main' : 'normal'} isPending={propose.isPending} isDisabled={!isReady}>
        {t('swaps.propose')}
      </Button>
      <Button kind="plain" onPress={leave}>
        {t('common.cancel')}
      </Button>
    </>
  );
  return (
    <Card
      title={t(answered ? 'swaps.counterTitle' : 'swaps.proposeTitle', { other: answered?.from.name ?? '' })}
      id="propose"
    >
      <Form label={t('swaps.proposeTitle')} onSubmit={submit} acts={acts}>
        <Columns>
          <ChooseContainers
            title={t('swaps.mine')}
            containers={board.mine}
            chosen={draft.give}
            empty={<Empty>{t('swaps.mineEmpty')}</Empty>}
            onChange={(next) => setDraft((old) => ({ ...old, give: next }))}
          />
          <Stack>
            <Select
              label={t('swaps.whose')}
              name="toHouseholdId"
              required
              value={draft.to}
              options={[{ value: '', label: t('swaps.chooseHousehold') }, ...householdsOf(board.others)]}
              onChange={(next) => setDraft((old) => ({ ...old, to: next, get: [] }))}
            />
            {draft.to !== '' && (
              <ChooseContainers
                title={t('swaps.theirs')}
                containers={theirs}
                chosen={draft.get}
                withAllergens
                empty={<p className="soft">{t('swaps.theirsEmpty')}</p>}
                onChange={(next) => setDraft((old) => ({ ...old, get: next }))}
              />
            )}
          </Stack>
        </Columns>
        <TextArea
          label={t('swaps.words')}
          name="words"
          maxLength={300}
          rows={2}
          value={draft.words}
          onChange={(next) => setDraft((old) => ({ ...old, words: next }))}
        />
        {isReady ? (
          <div>
            <PortionsWords given={total(give)} got={total(get)} />
            <KeepsWords side={{ give, get }} />
          </div>
        ) : (
          <p className="soft">{t('swaps.chooseBoth')}</p>
        )}
        <ProposeProblem error={propose.error} get={get} />
      </Form>
      <Note>
        <p>{t('swaps.onlyFit')}</p>
        <p>{t('common.notDeclared')}</p>
      </Note>
    </Card>
  );
}

/** A refusal names the container that cannot be swapped, or whose eater must not have it. */
function ProposeProblem({ error, get }: { error: Error | null; get: readonly Container[] }) {
  const t = useT();
  if (!error) return null;
  const code = isProblem(error, 'not-swappable') ? error.params.container : undefined;
  const gone = get.find((container) => container.code === code);
  return (
    <Problem
      error={error}
      action={typeof code === 'string' && <p>{t('swaps.gone', { code, dish: gone?.dish ?? '' })}</p>}
    />
  );
}

function householdsOf(containers: readonly Container[]): { value: string; label: string }[] {
  const names = new Map(containers.flatMap(({ holder }) => (holder ? [[holder.id, holder.name] as const] : [])));
  return [...names].map(([value, label]) => ({ value, label })).sort((a, b) => a.label.localeCompare(b.label));
}
