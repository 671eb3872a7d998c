import { useState } from 'react';
import { api, ifMatch, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFoodWords } from '../../lib/food-words.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { Choices, Select } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { BatchStepper } from '../../ui/stepper.tsx';
import { say } from '../../ui/toast.tsx';
import type { SwapBoard, Wish } from './swap-query.ts';

const SCORES = ['1', '2', '3'] as const;

/** "We wish for": dishes that my household would like to get, and whether anybody holds them out. */
export function WishesCard({ board, mayAct }: { board: SwapBoard; mayAct: boolean }) {
  const t = useT();
  const [isAdding, setAdding] = useState(false);
  const remove = useRemoveWish();
  const { wishes } = board;
  return (
    <Card title={t('swaps.weWish')} aside={t('swaps.wishesCount', { n: wishes.length })}>
      {wishes.length === 0 && !isAdding && <p className="soft">{t('swaps.weWishEmpty')}</p>}
      <List small>
        {wishes.map((wish) => (
          <ListRow
            key={wish.id}
            title={wish.dish.name}
            detail={
              <>
                {t('swaps.upTo', { n: wish.containers })} · <WishState wish={wish} />
              </>
            }
            acts={
              mayAct && (
                <Button
                  kind="plain"
                  aria-label={t('swaps.removeNamed', { dish: wish.dish.name })}
                  isPending={remove.isPending && remove.variables?.id === wish.id}
                  onPress={() => remove.mutate(wish)}
                >
                  {t('swaps.remove')}
                </Button>
              )
            }
          />
        ))}
      </List>
      <Problem error={remove.error} />
      {isAdding ? (
        <WishForm board={board} onDone={() => setAdding(false)} />
      ) : (
        mayAct && (
          <div>
            <Button onPress={() => setAdding(true)}>{t('swaps.addWish')}</Button>
          </div>
        )
      )}
    </Card>
  );
}

function WishState({ wish }: { wish: Wish }) {
  const t = useT();
  const food = useFoodWords();
  if (wish.unfit.length > 0)
    return <StateMark state="problem">{t('swaps.wish.unfit', { what: food.allergens(wish.unfit) })}</StateMark>;
  if (wish.inRings > 0) return <StateMark state="waiting">{t('swaps.wish.inRing')}</StateMark>;
  return <>{t('swaps.wish.offered', { n: wish.offered })}</>;
}

function WishForm({ board, onDone }: { board: SwapBoard; onDone: () => void }) {
  const t = useT();
  const { cooperativeId, householdId } = useSession();
  const [recipeId, setRecipe] = useState('');
  const [containers, setContainers] = useState(1);
  const [score, setScore] = useState<string>('2');
  const dishes = board.dishes.filter(({ id }) => !board.wishes.some(({ dish }) => dish.id === id));
  const name = dishes.find(({ id }) => id === recipeId)?.name ?? '';
  const add = useWrite<Schemas['AddWish'], Wish>({
    write: (body, headers) =>
      ok<Wish>(
        api.POST('/api/cooperatives/{cooperativeId}/swap-wishes', {
          params: { path: { cooperativeId } },
          body,
          headers,
        }),
      ),
    topics: ['swaps', 'jobs'],
    onSuccess: (wish) => {
      say(t('swaps.said.wished', { dish: wish.dish.name }));
      onDone();
    },
  });
  return (
    <Form
      label={t('swaps.addWish')}
      onSubmit={() => add.mutate({ householdId, recipeId, containers, score: Number(score) })}
      acts={
        <>
          <Button type="submit" isPending={add.isPending} isDisabled={name === ''}>
            {t('swaps.addWish')}
          </Button>
          <Button kind="plain" onPress={onDone}>
            {t('common.cancel')}
          </Button>
        </>
      }
    >
      <Select
        label={t('swaps.wish.dish')}
        hint={t('swaps.wish.onlyFit')}
        name="recipeId"
        required
        options={[
          { value: '', label: t('swaps.wish.choose') },
          ...dishes.map((one) => ({ value: one.id, label: one.name })),
        ]}
        value={name === '' ? '' : recipeId}
        onChange={setRecipe}
      />
      <div className="field">
        <span className="field-label">{t('swaps.wish.howMany')}</span>
        <BatchStepper label={t('swaps.wish.howMany')} value={containers} onChange={setContainers} min={1} max={20} />
      </div>
      <Choices
        label={t('swaps.wish.howMuch')}
        name="score"
        options={SCORES.map((value) => ({ value, label: t(`swaps.wish.score.${value}`) }))}
        value={score}
        onChange={setScore}
      />
      <Problem error={add.error} />
    </Form>
  );
}

function useRemoveWish() {
  const t = useT();
  const { cooperativeId } = useSession();
  return useWrite<Wish>({
    write: ({ id, version }, headers) =>
      ok(
        api.DELETE('/api/cooperatives/{cooperativeId}/swap-wishes/{swapWishId}', {
          params: { path: { cooperativeId, swapWishId: id } },
          headers: { ...headers, ...ifMatch(version) },
        }),
      ),
    topics: ['swaps'],
    onSuccess: (_, { dish }) => say(t('swaps.said.wishRemoved', { dish: dish.name })),
  });
}
