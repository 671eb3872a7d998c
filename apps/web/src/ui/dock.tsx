import { useEffect, useRef, type ReactNode } from 'react';

/** At the bottom of hands-busy screens: the total, or the one act. Leaves as much room at the end of the page as it is tall. */
export function Dock({ children, label }: { children: ReactNode; label: string }) {
  const dock = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const element = dock.current;
    if (!element) return;
    const root = document.documentElement;
    const watch = new ResizeObserver(() => {
      const height = `${element.offsetHeight + 16}px`;
      root.style.setProperty('--dock-height', height);
      // What takes the focus by keyboard is scrolled clear of the dock.
      root.style.scrollPaddingBlockEnd = height;
    });
    watch.observe(element);
    return () => {
      watch.disconnect();
      root.style.removeProperty('--dock-height');
      root.style.removeProperty('scroll-padding-block-end');
    };
  }, []);
  return (
    <>
      <div className="dock-room" aria-hidden="true" />
      <div className="dock" ref={dock} role="region" aria-label={label}>
        {children}
      </div>
    </>
  );
}

export const DockActs = ({ children }: { children: ReactNode }) => <div className="dock-acts">{children}</div>;
