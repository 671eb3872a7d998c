import { useId, type ReactNode } from 'react';

export interface Column<Row> {
  key: string;
  head: ReactNode;
  /** The head is for readers only: over bars and buttons that need no word. */
  headHidden?: boolean;
  cell: (row: Row) => ReactNode;
  /** Aligned to the end, never broken. */
  number?: boolean;
  /** Names the row: one column. */
  rowHead?: boolean;
  /** On a phone: the word before the value (the head is out of sight there), "off" leaves the cell out, "wide" gives it a line. */
  phone?: { word?: string; off?: boolean; wide?: boolean; end?: boolean };
  foot?: ReactNode;
}

export interface DataTableProps<Row> {
  caption: string;
  columns: readonly Column<Row>[];
  rows: readonly Row[];
  rowKey: (row: Row) => string;
  /** Washed: my household's row. */
  mine?: (row: Row) => boolean;
  /** On a phone each row becomes a block (default), or the table stays a table: for two or three short columns. */
  onPhone?: 'blocks' | 'table';
}

/** Roles are spelled out, since a table whose rows are restyled as blocks would lose them. */
export function DataTable<Row>(props: DataTableProps<Row>) {
  const captionId = useId();
  const { columns, onPhone = 'blocks' } = props;
  const hasFoot = columns.some((column) => column.foot !== undefined);
  return (
    <div className="table-scroll">
      <table className={onPhone === 'blocks' ? 'table table-blocks' : 'table'} role="table" aria-labelledby={captionId}>
        <caption className="hidden" id={captionId}>
          {props.caption}
        </caption>
        <thead role="rowgroup">
          <tr role="row">
            {columns.map((column) => (
              <th key={column.key} role="columnheader" scope="col" {...cellProps(column, onPhone)}>
                {column.headHidden ? <span className="hidden">{column.head}</span> : column.head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody role="rowgroup">
          {props.rows.map((row) => (
            <tr key={props.rowKey(row)} role="row" className={props.mine?.(row) ? 'table-mine' : undefined}>
              {columns.map((column) => (
                <Cell key={column.key} column={column} onPhone={onPhone}>
                  {column.cell(row)}
                </Cell>
              ))}
            </tr>
          ))}
        </tbody>
        {hasFoot && (
          <tfoot role="rowgroup">
            <tr role="row">
              {columns.map((column) => (
                <Cell key={column.key} column={column} onPhone={onPhone}>
                  {column.foot}
                </Cell>
              ))}
            </tr>
          </tfoot>
        )}
      </table>
    </div>
  );
}

function cellProps<Row>({ number, phone }: Column<Row>, onPhone: 'blocks' | 'table') {
  return {
    className: number ? 'number' : undefined,
    'data-off-phone': phone?.off ? '' : undefined,
    'data-wide': phone?.wide ? '' : undefined,
    'data-end': phone?.end ? '' : undefined,
    'data-head': onPhone === 'blocks' ? phone?.word : undefined,
  };
}

function Cell<Row>(props: { column: Column<Row>; onPhone: 'blocks' | 'table'; children: ReactNode }) {
  const own = cellProps(props.column, props.onPhone);
  if (props.column.rowHead) {
    return (
      <th role="rowheader" scope="row" {...own}>
        {props.children}
      </th>
    );
  }
  return (
    <td role="cell" {...own}>
      {props.children}
    </td>
  );
}

/** The second, smaller line of a cell. */
export const CellNote = ({ children }: { children: ReactNode }) => <span className="table-cell-note">{children}</span>;
