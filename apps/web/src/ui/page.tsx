import { useEffect, useRef, type ReactNode } from 'react';
import { useCooperativeOrNull } from '../lib/session.tsx';

let isFirstPage = true;

/**
 * One page: its heading, what stands beside it (a date, or the one main act), and its parts below one another. Sets the document's title, and
 * after a change of page puts the focus on the heading, so that a reader knows where it is.
 */
export function Page(props: { title: string; aside?: ReactNode; children: ReactNode; documentTitle?: string }) {
  const heading = useRef<HTMLHeadingElement>(null);
  const cooperative = useCooperativeOrNull();
  const place = cooperative?.name ?? 'Frostmoot';
  const title = props.documentTitle ?? props.title;
  useEffect(() => {
    document.title = `${title} · ${place}`;
  }, [title, place]);
  useEffect(() => {
    // The first page of a visit leaves the focus where the browser put it, before the skip link.
    if (isFirstPage) isFirstPage = false;
    else heading.current?.focus({ preventScroll: true });
  }, []);
  return (
    <div className="page">
      <header className="page-head">
        <h1 ref={heading} tabIndex={-1}>
          {props.title}
        </h1>
        {props.aside != null && <div className="page-aside">{props.aside}</div>}
      </header>
      {props.children}
    </div>
  );
}

/** Side by side on a laptop, below one another on a phone. */
export function Columns({ children, form = 'even' }: { children: ReactNode; form?: 'even' | 'wideFirst' | 'three' }) {
  const extra = { even: '', wideFirst: ' columns-wide-first', three: ' columns-three' }[form];
  return <div className={`columns${extra}`}>{children}</div>;
}

export function Stack({ children, gap = 'normal' }: { children: ReactNode; gap?: 'tight' | 'normal' | 'wide' }) {
  return <div className={`stack${gap === 'normal' ? '' : ` stack-${gap}`}`}>{children}</div>;
}

/** Buttons in a row that wraps. */
export const Row = ({ children, apart }: { children: ReactNode; apart?: boolean }) => (
  <div className={apart ? 'row row-apart' : 'row'}>{children}</div>
);
