import { daysBetween, parseDate } from '@frostmoot/calc';
import { Link, useNavigate } from '@tanstack/react-router';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Button, LinkButton } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { DateTab } from '../../ui/date-tab.tsx';
import { LabelCodes } from '../../ui/label-code.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { MenuButton } from '../../ui/menu.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { Cautions } from './cautions.tsx';
import type { Freezer } from './freezer-query.ts';
import { byPlace, portionsOf, type SameContainers } from './use-first.ts';
import type { Stock } from './use-stock.ts';

export type Asked = { kind: 'move' | 'throwAway'; row: SameContainers };

const daysUntil = (date: string, today: string): number => daysBetween(parseDate(today), parseDate(date));

interface UseFirstProps {
  freezer: Freezer;
  rows: readonly SameContainers[];
  /** The list is narrowed to what was looked for. */
  isFound: boolean;
  /** In groups by where they lie. */
  isByPlace: boolean;
  stock: Stock;
  onAsk: (asked: Asked) => void;
  mayAct: boolean;
}

/** What to use first: the earliest best-before in a heavy frame, each row with "Eaten" and what else can be done. */
export function UseFirstCard(props: UseFirstProps) {
  const { freezer, rows, isFound, isByPlace, stock } = props;
  const t = useT();
  const containers = rows.flatMap((row) => row.containers);
  return (
    <Card
      title={t(isFound ? 'freezer.found' : 'freezer.useFirst')}
      aside={
        isFound
          ? t('freezer.count', { n: containers.length, portions: portionsOf(containers) })
          : t('freezer.byBestBefore')
      }
    >
      <Problem error={stock.end.error} />
      <Problem error={stock.restore.error} />
      <Soon freezer={freezer} />
      <div className="row">
        <LinkButton
          kind="plain"
          to="/freezer"
          search={(old: object) => ({ ...old, by: isByPlace ? undefined : ('place' as const) })}
          resetScroll={false}
        >
          {t(isByPlace ? 'freezer.byDate' : 'freezer.byPlace')}
        </LinkButton>
      </div>
      <div className="use-first">
        {isByPlace ? (
          byPlace(rows).map(([place, own]) => (
            <section key={place}>
              <h3>{place || t('freezer.noPlace')}</h3>
              <Rows {...props} rows={own} />
            </section>
          ))
        ) : (
          <Rows {...props} />
        )}
      </div>
      <Cautions />
    </Card>
  );
}

function Rows({ freezer, rows, isByPlace, stock, onAsk, mayAct }: UseFirstProps) {
  return (
    <List ordered>
      {rows.map((row, index) => (
        <UseFirstRow
          key={row.first.id}
          row={row}
          freezer={freezer}
          framed={index === 0 && !isByPlace}
          {...{ stock, onAsk, mayAct }}
        />
      ))}
    </List>
  );
}

/** What comes near its best-before, from as many days before as the household wants to be told. */
function Soon({ freezer: { items, alertUntil, alertDays, today } }: { freezer: Freezer }) {
  const t = useT();
  const formats = useFormats();
  const n = items.filter(({ bestBefore }) => bestBefore >= today && bestBefore <= alertUntil).length;
  if (n === 0) return null;
  return (
    <p className="soon">
      <StateMark state="waiting">{t('freezer.soon', { n, date: formats.day(alertUntil, 'dated') })}</StateMark>{' '}
      <Link to="/household" hash="freezer">
        {t('freezer.soonChange', { n: alertDays })}
      </Link>
    </p>
  );
}

interface RowProps extends Pick<UseFirstProps, 'stock' | 'onAsk' | 'mayAct'> {
  row: SameContainers;
  freezer: Freezer;
  framed: boolean;
}

function UseFirstRow({ row, freezer, framed, stock, onAsk, mayAct }: RowProps) {
  const t = useT();
  const food = useFoodWords();
  const { first, containers } = row;
  const codes = containers.map(({ code }) => code);
  return (
    <ListRow
      framed={framed}
      lead={<DateTab date={first.bestBefore} withoutWeekday />}
      title={first.dish}
      detail={
        <>
          {t('freezer.containersOf', { n: containers.length, portions: first.portions })}
          {first.place !== '' && (
            <>
              {'\u00A0· '}
              {first.place}
            </>
          )}
          {'\u00A0· '}
          <LabelCodes codes={codes} />
        </>
      }
      acts={mayAct && <RowActs {...{ row, stock, onAsk }} />}
    >
      <span className="small soft">{food.allergens(first.allergens)}</span>
      <RowStates row={row} freezer={freezer} />
    </ListRow>
  );
}

function RowStates({ row: { first }, freezer: { today, alertUntil } }: { row: SameContainers; freezer: Freezer }) {
  const t = useT();
  const formats = useFormats();
  const date = formats.day(first.bestBefore, 'dated');
  return (
    <>
      {first.bestBefore < today ? (
        <span className="small">
          <StateMark state="waiting">
            {t('freezer.past', { date, cold: formats.unit('-18', 'celsius', { least: 0, most: 0 }) })}
          </StateMark>
        </span>
      ) : first.bestBefore <= alertUntil ? (
        <span className="small">
          <StateMark state="waiting">{t('freezer.inDays', { date, n: daysUntil(first.bestBefore, today) })}</StateMark>
        </span>
      ) : (
        <span className="hidden">{t('freezer.bestBefore', { date })}</span>
      )}
      {first.standing && (
        <span className="small">
          <StateMark state={first.standing === 'offered' || first.standing === 'held-out' ? 'offered' : 'waiting'}>
            {t(`freezer.standing.${first.standing}`)}
          </StateMark>
        </span>
      )}
      {first.claim === 'held' && (
        <span className="small">
          <StateMark state="setAside">{t('freezer.setAside', { round: first.roundNumber })}</StateMark>
        </span>
      )}
    </>
  );
}

function RowActs({ row, stock, onAsk }: Pick<RowProps, 'row' | 'stock' | 'onAsk'>) {
  const t = useT();
  const navigate = useNavigate();
  const { first } = row;
  const named = { dish: first.dish, code: first.code };
  const entries = [
    { id: 'move', label: t('freezer.move'), onAction: () => onAsk({ kind: 'move', row }) },
    {
      id: 'offer',
      label: t('freezer.offer'),
      onAction: () => void navigate({ to: '/swaps', search: { offer: first.id } }),
    },
    {
      id: 'giveAway',
      label: t('freezer.giveAway'),
      onAction: () => stock.end.mutate({ container: first, state: 'given-away', reasonCode: null, reason: '' }),
    },
    { id: 'throwAway', label: t('freezer.throwAway'), onAction: () => onAsk({ kind: 'throwAway', row }) },
    {
      id: 'lost',
      label: t('freezer.lost'),
      onAction: () => stock.end.mutate({ container: first, state: 'lost', reasonCode: 'not-found', reason: '' }),
    },
  ];
  return (
    <>
      <Button
        aria-label={t('freezer.eatenNamed', named)}
        isPending={stock.end.isPending && stock.end.variables?.container.id === first.id}
        onPress={() => stock.end.mutate({ container: first, state: 'eaten', reasonCode: null, reason: '' })}
      >
        {t('freezer.eaten')}
      </Button>
      <MenuButton
        kind="plain"
        label={t('common.more')}
        aria-label={t('freezer.moreNamed', named)}
        groups={[{ title: first.dish, entries: first.offered ? entries.filter(({ id }) => id !== 'offer') : entries }]}
      />
    </>
  );
}
