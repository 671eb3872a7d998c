import { rational } from '@frostmoot/calc';
import { useFormats, type Formats } from '../../lib/formats.ts';
import { useT, type Translate } from '../../lib/locale.tsx';
import { BlocksBar } from '../../ui/bars.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { DishLegend } from '../../ui/container-box.tsx';
import { CellNote, DataTable, type Column } from '../../ui/data-table.tsx';
import { Row } from '../../ui/page.tsx';
import { PrintButton } from '../../ui/print-button.tsx';
import { ProblemBox } from '../../ui/problem-box.tsx';
import { dishIndexOf, portionsOf, type ShareOut, type ShareOutPart } from './share-out-query.ts';

const TWO = { least: 2, most: 2 };
const numberOf = (value: string): number => Number(rational.toDecimal(rational.parse(value), 6));

/** What every household gets, as numbers and as its containers end to end against its target. */
export function EverybodyCard({ shareOut, householdId }: { shareOut: ShareOut; householdId: string }) {
  const t = useT();
  const formats = useFormats();
  const { parts } = shareOut;
  const shared = parts.reduce((sum, { received }) => sum + numberOf(received), 0);
  return (
    <>
      <Shortages shareOut={shareOut} />
      <Card
        title={t('shareOut.everybody')}
        aside={t('shareOut.everybodyAside', {
          n: shareOut.totalPortions,
          left: Math.round(shareOut.totalPortions - shared),
        })}
      >
        <DishLegend
          dishes={shareOut.dishes.map((dish, dishIndex) => ({
            name: dish.name,
            dishIndex,
            portions: Math.max(1, ...parts.flatMap(({ containers }) => sizesOf(containers, dish.recipeId))),
          }))}
        />
        <DataTable
          caption={t('shareOut.everybody')}
          rows={parts}
          rowKey={(part) => part.household.id}
          mine={(part) => part.household.id === householdId}
          columns={columnsOf(shareOut, t, formats)}
        />
        <Note>
          <p>{t('shareOut.lineIsTarget')}</p>
          <Exclusions parts={parts} />
          <p>{t('shareOut.sharedHow')}</p>
          <p>{t(shareOut.freezersCounted ? 'shareOut.freezersCounted' : 'shareOut.freezersNotCounted')}</p>
        </Note>
        {shareOut.state === 'confirmed' && (
          <Row>
            <LinkButton to="/rounds/$roundId/collect" params={{ roundId: shareOut.roundId }}>
              {t('shareOut.collect')}
            </LinkButton>
            <PrintButton>{t('shareOut.printList')}</PrintButton>
          </Row>
        )}
      </Card>
    </>
  );
}

const sizesOf = (containers: ShareOutPart['containers'], recipeId: string): number[] =>
  containers.filter((container) => container.recipeId === recipeId).map(({ portions }) => portions);

function columnsOf(shareOut: ShareOut, t: Translate, formats: Formats): Column<ShareOutPart>[] {
  const most = Math.max(...shareOut.parts.map((part) => Math.max(numberOf(part.target), portionsOf(part.containers))));
  const isConfirmed = shareOut.state === 'confirmed';
  return [
    { key: 'household', head: t('shareOut.household'), rowHead: true, cell: (part) => part.household.name },
    {
      key: 'target',
      head: t('shareOut.target'),
      number: true,
      phone: { word: t('shareOut.target') },
      cell: (part) => formats.quantity(part.target, TWO),
    },
    {
      key: 'gets',
      head: t('shareOut.gets'),
      number: true,
      phone: { word: t('shareOut.gets') },
      cell: (part) => {
        const held = portionsOf(part.containers);
        return (
          <>
            <strong>{formats.quantity(part.received)}</strong>
            {isConfirmed && held !== numberOf(part.received) && (
              <CellNote>{t('shareOut.holdsNow', { n: held })}</CellNote>
            )}
          </>
        );
      },
    },
    {
      key: 'blocks',
      head: t('shareOut.blocks'),
      phone: { wide: true },
      cell: (part) => (
        <BlocksBar
          most={most}
          target={numberOf(part.target)}
          blocks={part.containers.map((container) => ({
            portions: container.portions,
            dishIndex: dishIndexOf(shareOut, container) ?? 0,
          }))}
        />
      ),
    },
    {
      key: 'after',
      head: t('shareOut.afterRound'),
      phone: { wide: true },
      cell: (part) => <span className="small">{balanceWords(rational.parse(part.owedAfter), t, formats)}</span>,
    },
  ];
}

/** "0.27 ahead", "0.64 to come", "nil". */
export function balanceWords(owed: rational.Rational, t: Translate, formats: Formats): string {
  const portions = formats.quantity(rational.abs(owed), TWO);
  const direction = rational.sign(owed);
  if (direction === 0) return t('common.nil');
  return t(direction < 0 ? 'common.portionsAhead' : 'common.portionsToCome', { portions });
}

/** Which dishes a household leaves out; only those who may know it are told. */
function Exclusions({ parts }: { parts: readonly ShareOutPart[] }) {
  const t = useT();
  const formats = useFormats();
  const known = parts.filter(({ cannotEat }) => cannotEat && cannotEat.length > 0);
  return known.map(({ household, cannotEat }) => (
    <p key={household.id}>
      {t('shareOut.eatsNot', { household: household.name, dishes: formats.list(cannotEat ?? []) })}
    </p>
  ));
}

/** Households for which there is too little that they may eat, and who holds something that would do. */
function Shortages({ shareOut }: { shareOut: ShareOut }) {
  const t = useT();
  const formats = useFormats();
  const short = shareOut.parts.filter(
    (part) => part.cannotEat !== null && rational.sign(rational.parse(part.short)) > 0,
  );
  return short.map((part) => {
    const fits = (dish: string) => !part.cannotEat?.includes(dish);
    const holders = shareOut.parts.filter(
      (other) => other !== part && other.containers.some(({ dish, state }) => state === 'sealed' && fits(dish)),
    );
    return (
      <ProblemBox
        key={part.household.id}
        title={t('shareOut.short', { household: part.household.name, portions: formats.quantity(part.short, TWO) })}
      >
        <p>
          {holders.length === 0
            ? t('shareOut.shortNobody')
            : t('shareOut.shortHolders', {
                n: holders.length,
                households: formats.list(holders.map(({ household }) => household.name)),
              })}
        </p>
      </ProblemBox>
    );
  });
}
