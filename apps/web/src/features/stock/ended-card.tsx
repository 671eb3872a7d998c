import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { LabelCodes } from '../../ui/label-code.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { endedWords } from './ended-words.ts';
import type { Freezer } from './freezer-query.ts';
import { BecameTables } from './became-tables.tsx';
import { endedOn } from './use-first.ts';
import type { Stock } from './use-stock.ts';

/** What was eaten, thrown away, given away or lost; what was said today can be taken back here too. */
export function EndedCard({ freezer, stock, mayAct }: { freezer: Freezer; stock: Stock; mayAct: boolean }) {
  const t = useT();
  const formats = useFormats();
  const today = endedOn(freezer.ended, freezer.today, formats.dateOf);
  return (
    <Card title={t('freezer.endedTitle')}>
      <p>{t('freezer.endedWords', { eaten: freezer.portionsEaten, thrown: freezer.portionsThrownAway })}</p>
      <BecameTables freezer={freezer} />
      {today.length > 0 && (
        <>
          <h3>{t('freezer.endedToday')}</h3>
          <List small>
            {today.map((container) => (
              <ListRow
                key={container.id}
                title={container.dish}
                detail={
                  <>
                    {endedWords(container, t)} · <LabelCodes codes={[container.code]} />
                  </>
                }
                acts={
                  mayAct && (
                    <Button
                      kind="plain"
                      aria-label={t('freezer.undoNamed', { dish: container.dish, code: container.code })}
                      isPending={stock.restore.isPending && stock.restore.variables?.id === container.id}
                      onPress={() => stock.restore.mutate(container)}
                    >
                      {t('common.undo')}
                    </Button>
                  )
                }
              />
            ))}
          </List>
        </>
      )}
    </Card>
  );
}
