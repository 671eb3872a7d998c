import { useEffect, useRef, type FocusEvent, type ReactNode } from 'react';

/** Where a row goes with what was done in it, the focus goes on to the row that is now in its place, or to the last one. */
function useFocusKept() {
  const held = useRef<{ list: Element; row: Element; index: number } | null>(null);
  useEffect(() => {
    if (!held.current || held.current.row.isConnected) return;
    const { list, index } = held.current;
    held.current = null;
    // After a menu or a dialog has tried to give it back to the row that has gone.
    requestAnimationFrame(() => {
      if (document.activeElement !== document.body) return;
      const row = list.children[Math.min(index, list.children.length - 1)];
      row?.querySelector<HTMLElement>('button')?.focus({ preventScroll: true });
    });
  });
  return (event: FocusEvent) => {
    const rows = [...event.currentTarget.children];
    const index = rows.findIndex((each) => each.contains(event.target));
    const row = rows[index];
    if (row) held.current = { list: event.currentTarget, row, index };
  };
}

/** A list of rows; `ordered` where the order means something. */
export function List({ children, ordered, small }: { children: ReactNode; ordered?: boolean; small?: boolean }) {
  const className = small ? 'list list-small' : 'list';
  const onFocus = useFocusKept();
  // Safari drops the list role where list-style is none, hence the explicit one.
  return ordered ? (
    <ol className={className} role="list" onFocus={onFocus}>
      {children}
    </ol>
  ) : (
    <ul className={className} role="list" onFocus={onFocus}>
      {children}
    </ul>
  );
}

/** What is due, in order; the first row is framed and carries the page's main act. */
export const DoList = ({ children }: { children: ReactNode }) => (
  <ol className="list do-list" role="list">
    {children}
  </ol>
);

export interface ListRowProps {
  /** A date tear-off, a container's shape, a tick. */
  lead?: ReactNode;
  title: ReactNode;
  detail?: ReactNode;
  /** Buttons, or a figure, at the end. */
  acts?: ReactNode;
  /** 2 px frame: the one thing that is next. */
  framed?: boolean;
  /** Washed: concerns my household. */
  mine?: boolean;
  children?: ReactNode;
}

export function ListRow({ lead, title, detail, acts, framed, mine, children }: ListRowProps) {
  const className = ['list-row', lead != null && 'list-row-led', framed && 'list-row-framed', mine && 'list-row-mine'];
  return (
    <li className={className.filter(Boolean).join(' ')}>
      {lead}
      <div className="list-row-body">
        <div className="list-row-words">
          <span className="list-row-title">{title}</span>
          {detail != null && <span className="list-row-detail">{detail}</span>}
          {children}
        </div>
        {acts != null && <div className="list-row-acts">{acts}</div>}
      </div>
    </li>
  );
}
