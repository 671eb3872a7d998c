import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useIsWide } from '../../lib/use-is-wide.ts';
import { Card } from '../../ui/card.tsx';
import type { Recall, Report } from './recall-query.ts';

const ROW = 72;
const [BOX, GAP, HEIGHT] = [200, 60, 52];

/** Where it went: a picture on a laptop, with the list below it for those who read; on a phone the list alone. */
export function TraceChain({ recall, report }: { recall: Recall; report: Report }) {
  const t = useT();
  const formats = useFormats();
  const isWide = useIsWide();
  const { counts, batches, households } = report;
  const names = households.map(({ household }) => household?.name ?? t('recalls.common'));
  const homes = households.filter(({ household }) => household !== null).length;
  const name = t('recalls.name', { what: recall.what, lot: recall.lotCode });
  const batchWords = batches.map(({ dish, lotCode, containers, sure }) => ({
    dish,
    note: t('recalls.chain.batch', { code: lotCode, n: containers }) + (sure ? '' : ` · ${t('recalls.maybe')}`),
  }));
  return (
    <Card title={t('recalls.went')}>
      {isWide && batches.length > 0 && batches.length <= 8 && (
        <Picture
          ends={[
            { dish: recall.what, note: recall.lotCode },
            { dish: t('common.containers', { n: counts.all }), note: t('common.portions', { n: counts.portions }) },
            { dish: t('recalls.chain.households', { n: homes }), note: '' },
          ]}
          batches={batchWords}
        />
      )}
      <dl className="recall-chain">
        {recall.source !== 'batch' && (
          <div>
            <dt>{t('recalls.chain.bought')}</dt>
            <dd>
              <strong>{name}</strong>
            </dd>
          </div>
        )}
        {batchWords.map(({ dish, note }, index) => (
          <div key={index}>
            <dt>{t('recalls.chain.cooked')}</dt>
            <dd>
              <strong>{dish}</strong> · {note}
            </dd>
          </div>
        ))}
        <div>
          <dt>{t('recalls.chain.with')}</dt>
          <dd>
            <strong>{t('recalls.chain.households', { n: homes })}</strong>: {formats.list(names)}
          </dd>
        </div>
      </dl>
    </Card>
  );
}

interface Words {
  dish: string;
  note: string;
}

/** Decoration beside the list, mirrored where words run from the right. */
function Picture({ ends, batches }: { ends: [Words, Words, Words]; batches: readonly Words[] }) {
  const height = Math.max(1, batches.length) * ROW;
  const middle = height / 2;
  const x = (column: number) => column * (BOX + GAP);
  const rowOf = (index: number) => index * ROW + ROW / 2;
  const line = (from: number, fromY: number, toY: number) => {
    const [a, b] = [x(from) + BOX, x(from + 1)];
    return `M${a} ${fromY}C${a + GAP / 2} ${fromY} ${b - GAP / 2} ${toY} ${b} ${toY}`;
  };
  return (
    <div className="recall-picture" aria-hidden="true">
      <svg viewBox={`-2 0 ${x(3) + BOX + 4} ${height}`} className="recall-lines" preserveAspectRatio="none">
        {batches.map((_, index) => (
          <path key={index} d={line(0, middle, rowOf(index)) + line(1, rowOf(index), middle)} />
        ))}
        <path d={line(2, middle, middle)} />
      </svg>
      <div className="recall-boxes" style={{ blockSize: height }}>
        <Column words={[ends[0]]} />
        <Column words={batches} />
        <Column words={[ends[1]]} />
        <Column words={[ends[2]]} />
      </div>
    </div>
  );
}

function Column({ words }: { words: readonly Words[] }) {
  return (
    <div className="recall-column">
      {words.map(({ dish, note }, index) => (
        <div className="recall-box" key={index} style={{ minBlockSize: HEIGHT }}>
          <strong>{dish}</strong>
          {note && <span className="small soft">{note}</span>}
        </div>
      ))}
    </div>
  );
}
