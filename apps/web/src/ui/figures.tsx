import type { ReactNode } from 'react';

export interface Figure {
  name: ReactNode;
  value: ReactNode;
  note?: ReactNode;
}

/** The few numbers that a page is about, in one frame. */
export function Figures({ items }: { items: readonly Figure[] }) {
  return (
    <dl className="figures">
      {items.map((item, index) => (
        <div className="figure" key={index}>
          <dt className="figure-name">{item.name}</dt>
          <dd className="figure-value">{item.value}</dd>
          {item.note && <dd className="figure-note">{item.note}</dd>}
        </div>
      ))}
    </dl>
  );
}

/** One balance in words ("€51.63 to receive") with its reason. Inside `<Balances>`. */
export function Balance(props: { name: ReactNode; value: ReactNode; reason?: ReactNode; framed?: boolean }) {
  return (
    <dl className={props.framed ? 'balance balance-framed' : 'balance'}>
      <dt className="soft">{props.name}</dt>
      <dd className="balance-value">{props.value}</dd>
      {props.reason && <dd className="balance-reason">{props.reason}</dd>}
    </dl>
  );
}

export const Balances = ({ children }: { children: ReactNode }) => <div className="balances">{children}</div>;

/** A sum that can be checked by hand, line by line; a `total` line stands under a thick rule. */
export function Sum({
  lines,
}: {
  lines: readonly { name: ReactNode; note?: ReactNode; value: ReactNode; total?: boolean }[];
}) {
  return (
    <dl className="sum">
      {lines.map((line, index) => (
        <div className={line.total ? 'sum-line sum-line-total' : 'sum-line'} key={index}>
          <dt>
            {line.name}
            {line.note && <span className="table-cell-note">{line.note}</span>}
          </dt>
          <dd>{line.value}</dd>
        </div>
      ))}
    </dl>
  );
}
