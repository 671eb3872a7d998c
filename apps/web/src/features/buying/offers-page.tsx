import { useQuery } from '@tanstack/react-query';
import { getRouteApi, useNavigate } from '@tanstack/react-router';
import { useState } from 'react';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { CellNote, DataTable, type Column } from '../../ui/data-table.tsx';
import { TextField } from '../../ui/fields.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { Columns, Page, Row, Stack } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { OfferForm } from './offer-form.tsx';
import { offersQuery, sellersQuery, type Offer, type Seller } from './offer-queries.ts';
import { SellerForm } from './seller-form.tsx';

const route = getRouteApi('/member/offers');

/** Sellers and their prices; buyers and coordinators add them. */
export function OffersPage() {
  const t = useT();
  const { cooperativeId, can } = useSession();
  const { ingredient } = route.useSearch();
  const sellers = useQuery(sellersQuery(cooperativeId));
  const offers = useQuery(offersQuery(cooperativeId));
  const [isAdding, setAdding] = useState(ingredient !== undefined);
  const mayAdd = can('coordinator', 'buyer');
  return (
    <Page title={t('buying.offersTitle')}>
      <QueryView query={sellers}>
        {(all) => (
          <Columns form="wideFirst">
            <Stack gap="wide">
              {mayAdd && isAdding && all.length > 0 && (
                <Card title={t('buying.newPrice')} framed>
                  <OfferForm key={ingredient} sellers={all} ingredientId={ingredient} onDone={() => setAdding(false)} />
                </Card>
              )}
              <Card
                title={t('buying.prices')}
                aside={
                  mayAdd &&
                  !isAdding &&
                  all.length > 0 && <Button onPress={() => setAdding(true)}>{t('buying.addPrice')}</Button>
                }
              >
                <QueryView query={offers}>{(items) => <Prices offers={items} />}</QueryView>
              </Card>
            </Stack>
            <Sellers sellers={all} mayAdd={mayAdd} />
          </Columns>
        )}
      </QueryView>
    </Page>
  );
}

function Prices({ offers }: { offers: readonly Offer[] }) {
  const t = useT();
  const { cooperative } = useSession();
  const { find = '' } = route.useSearch();
  const navigate = useNavigate({ from: '/offers' });
  const columns = useColumns();
  const inForce = offers.filter(({ validTo }) => validTo === null || validTo >= cooperative.today);
  const wanted = find.trim().toLocaleLowerCase();
  const found = inForce.filter(({ ingredient, seller, label }) =>
    [ingredient.name, seller.name, label].some((text) => text.toLocaleLowerCase().includes(wanted)),
  );
  if (inForce.length === 0) return <Empty title={t('buying.noOffers')}>{t('buying.noOffersWords')}</Empty>;
  return (
    <>
      <TextField
        type="search"
        label={t('buying.findPrice')}
        value={find}
        onChange={(value) =>
          void navigate({ search: (old) => ({ ...old, find: value === '' ? undefined : value }), replace: true })
        }
      />
      <p className="soft small" role="status">
        {t('buying.found', { n: found.length, of: inForce.length })}
      </p>
      <DataTable caption={t('buying.prices')} columns={columns} rows={found} rowKey={({ id }) => id} />
    </>
  );
}

function useColumns(): Column<Offer>[] {
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  return [
    {
      key: 'ingredient',
      head: t('buying.ingredient'),
      rowHead: true,
      cell: (offer) => (
        <>
          {offer.ingredient.name}
          <CellNote>{offer.label}</CellNote>
        </>
      ),
    },
    { key: 'seller', head: t('buying.seller'), cell: (offer) => offer.seller.name },
    {
      key: 'pack',
      head: t('buying.pack'),
      number: true,
      cell: (offer) => (
        <>
          {food.exactAmount(offer.packQuantity, offer.packUnit)}
          {offer.catchWeight && <CellNote>{t('buying.byWeight')}</CellNote>}
        </>
      ),
    },
    {
      key: 'price',
      head: t('buying.price'),
      number: true,
      phone: { end: true },
      cell: (offer) => <strong>{formats.money(offer.priceMinor)}</strong>,
    },
    {
      key: 'since',
      head: t('buying.since'),
      number: true,
      phone: { off: true },
      cell: (offer) => formats.day(offer.validFrom, 'dated'),
    },
  ];
}

/** "Fee of €3.50, none from €60.00 on, at least €20.00." */
function useAsks() {
  const t = useT();
  const formats = useFormats();
  return ({ feeMinor, freeFromMinor, minimumMinor }: Seller): string => {
    const fee = feeMinor === '0' ? t('buying.noFee') : t('buying.feeIs', { amount: formats.money(feeMinor) });
    const isWaived = feeMinor !== '0' && freeFromMinor !== null;
    return formats.list([
      fee,
      ...(isWaived ? [t('buying.freeFromIs', { amount: formats.money(freeFromMinor) })] : []),
      ...(minimumMinor === '0' ? [] : [t('buying.minimumIs', { amount: formats.money(minimumMinor) })]),
    ]);
  };
}

function Sellers({ sellers, mayAdd }: { sellers: readonly Seller[]; mayAdd: boolean }) {
  const t = useT();
  const [isAdding, setAdding] = useState(false);
  const [changing, setChanging] = useState<string | null>(null);
  const asks = useAsks();
  const add = mayAdd && !isAdding && <Button onPress={() => setAdding(true)}>{t('buying.addSeller')}</Button>;
  return (
    <Card title={t('buying.sellers')}>
      {sellers.length === 0 && !isAdding ? (
        <Empty title={t('buying.noSellers')} action={add}>
          {t(mayAdd ? 'buying.noSellersWords' : 'buying.buyersAdd')}
        </Empty>
      ) : (
        <>
          <List small>
            {sellers.map((seller) => (
              <ListRow
                key={seller.id}
                title={seller.name}
                detail={asks(seller)}
                acts={
                  mayAdd &&
                  changing !== seller.id && (
                    <Button
                      kind="plain"
                      aria-label={t('buying.changeSeller', { seller: seller.name })}
                      onPress={() => setChanging(seller.id)}
                    >
                      {t('common.change')}
                    </Button>
                  )
                }
              >
                {changing === seller.id && (
                  <SellerForm key={seller.version} seller={seller} onDone={() => setChanging(null)} />
                )}
              </ListRow>
            ))}
          </List>
          {add && <Row>{add}</Row>}
        </>
      )}
      {isAdding && <SellerForm onDone={() => setAdding(false)} />}
      {!mayAdd && sellers.length > 0 && <p className="soft">{t('buying.buyersAdd')}</p>}
    </Card>
  );
}
