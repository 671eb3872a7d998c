import { rational } from '@frostmoot/calc';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Note } from '../../ui/card.tsx';
import { Figures } from '../../ui/figures.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { wholeMinor } from './dish-figures.ts';
import type { Proposal } from './proposal.ts';

type AtHand = Proposal['atHand'][number];
type NextUse = AtHand['next'][number];

const isSome = (text: string): boolean => rational.sign(rational.parse(text)) > 0;

/** What is proposed, each figure in words: portions, what is used up and what is left, variety, cost. */
export function ProposalResult({ proposal }: { proposal: Proposal }) {
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  const { short, beyond, wanted, costPerPortionMinor, costMinor } = proposal;
  const over = isSome(beyond)
    ? t('round.proposal.beyond', { portions: formats.quantity(beyond) })
    : t('round.proposal.even');
  const litres = (ml: number) => formats.unit(`${ml}/1000`, 'liter', { least: 0, most: 1 });
  return (
    <div className="stack" role="status">
      <h3>{t('round.proposal.title')}</h3>
      <List small>
        {proposal.dishes.map((dish) => (
          <ListRow
            key={dish.recipeId}
            title={dish.name}
            detail={food.allergens(dish.allergens)}
            acts={t('round.proposal.batches', { n: dish.batches, portions: formats.number(dish.portions) })}
          />
        ))}
      </List>
      <Figures
        items={[
          {
            name: t('round.figure.portions'),
            value: t('round.figure.of', {
              planned: formats.quantity(proposal.portions),
              wanted: formats.quantity(wanted),
            }),
            note: isSome(short) ? t('round.proposal.short', { portions: formats.quantity(short) }) : over,
          },
          {
            name: t('round.figure.portionCosts'),
            value:
              costPerPortionMinor === null
                ? t('round.figure.notKnown')
                : formats.money(wholeMinor(costPerPortionMinor)),
            note:
              costMinor === null
                ? t('round.figure.noPrices')
                : t('round.figure.inAll', { amount: formats.money(costMinor) }),
          },
          {
            name: t('round.figure.space'),
            value: litres(proposal.freezerNeededMl),
            note:
              proposal.freezerFreeMl === null
                ? t('round.figure.notKnown')
                : t('round.figure.free', { litres: litres(proposal.freezerFreeMl) }),
          },
        ]}
      />
      {proposal.atHand.map((each) => (
        <UsedUp key={each.ingredient.id} atHand={each} />
      ))}
      <Variety proposal={proposal} />
      <Note>
        <p>{t(proposal.proof === 'optimal' ? 'round.proposal.proved' : 'round.proposal.notProved')}</p>
      </Note>
    </div>
  );
}

/** How much of what is at hand is used, what is left of it, and what would use that up. */
function UsedUp({ atHand }: { atHand: AtHand }) {
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  const amount = (text: string) => food.amount(text, atHand.unit);
  const nextWords = ({ recipe, takes, missing, obstacles }: NextUse): string => {
    const values = { dish: recipe.name, takes: amount(takes) };
    const lacking = isSome(missing) ? [t('round.proposal.missing', { amount: amount(missing) })] : [];
    const against = obstacles.map(({ limit, over }) => {
      const litres = formats.quantity(rational.div(rational.parse(over), rational.parse('1000')), {
        least: 0,
        most: 1,
      });
      return t(`round.proposal.limit.${limit}`, { over: formats.quantity(over), litres });
    });
    return t('round.proposal.next', { ...values, reasons: formats.list([...lacking, ...against]) });
  };
  return (
    <section>
      <h4>
        {t('round.proposal.usedUp', {
          ingredient: atHand.ingredient.name,
          used: formats.number(atHand.packsUsed),
          n: atHand.packs,
        })}
      </h4>
      {isSome(atHand.left) ? (
        <>
          <p>
            {t('round.proposal.left', { amount: amount(atHand.left), n: atHand.packsLeft })}{' '}
            {isSome(atHand.opened) && t('round.proposal.opened', { amount: amount(atHand.opened) })}
          </p>
          {atHand.next.length === 0 ? (
            <p className="soft">{t('round.proposal.nothingUsesIt')}</p>
          ) : (
            <ul className="soft reasons">
              {atHand.next.map((next) => (
                <li key={next.recipe.id}>{nextWords(next)}</li>
              ))}
            </ul>
          )}
        </>
      ) : (
        <p>{t('round.proposal.nothingLeft')}</p>
      )}
    </section>
  );
}

/** How many different dishes each household gets, and why somebody gets fewer. */
function Variety({ proposal }: { proposal: Proposal }) {
  const t = useT();
  const formats = useFormats();
  const { varietyShort, varietyWanted, fewerDishes, shortHouseholds } = proposal;
  return (
    <section>
      <h4>
        {varietyShort === 0
          ? t('round.proposal.varietyMet', { n: varietyWanted })
          : t('round.proposal.varietyShort', { n: varietyShort, wanted: varietyWanted })}
      </h4>
      {fewerDishes.length + shortHouseholds.length > 0 && (
        <ul className="soft reasons">
          {fewerDishes.map(({ household, planned, reason }) => (
            <li key={household.id}>{t(`round.proposal.fewer.${reason}`, { household: household.name, n: planned })}</li>
          ))}
          {shortHouseholds.map(({ household, wanted, planned }) => (
            <li key={`short ${household.id}`}>
              {t('round.proposal.shortFor', {
                household: household.name,
                planned: formats.quantity(planned),
                wanted: formats.quantity(wanted),
              })}
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}
