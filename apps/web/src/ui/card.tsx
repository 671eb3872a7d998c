import { useId, type ReactNode } from 'react';

/** A part of a page with its own heading; `framed` (2 px ink) is for what is next. `aside` stands opposite the heading. */
export function Card(props: {
  title?: ReactNode;
  aside?: ReactNode;
  framed?: boolean;
  children: ReactNode;
  /** Anchor for links to this part. */
  id?: string;
}) {
  const headingId = useId();
  return (
    <section
      id={props.id}
      className={props.framed ? 'card card-framed' : 'card'}
      aria-labelledby={props.title ? headingId : undefined}
    >
      {(props.title || props.aside) && (
        <header className="card-head">
          {props.title && <h2 id={headingId}>{props.title}</h2>}
          {props.aside && <div className="card-aside">{props.aside}</div>}
        </header>
      )}
      {props.children}
    </section>
  );
}

/** A caution or a reservation at the place of use: the rule, its source and edition. */
export const Note = ({ children }: { children: ReactNode }) => (
  <div className="note">
    <div>{children}</div>
  </div>
);

/** Nothing here yet: says what it is for, and has the next act as its button. */
export function Empty({ title, children, action }: { title?: ReactNode; children?: ReactNode; action?: ReactNode }) {
  return (
    <div className="empty">
      {title && <h3>{title}</h3>}
      {children && <div className="soft measure">{children}</div>}
      {action}
    </div>
  );
}
