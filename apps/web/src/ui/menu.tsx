import { lazy, Suspense, useState, type KeyboardEvent } from 'react';
import { menuButtonClass, type MenuButtonProps } from './menu-props.ts';

export type { MenuEntry, MenuGroup } from './menu-props.ts';

const load = () => import('./menu-popover.tsx');
const MenuPopover = lazy(load);

/** A button that opens a list of acts: the household's menu, or "More" on a row. The list's code comes with the first opening. */
export function MenuButton(props: MenuButtonProps) {
  const [wanted, setWanted] = useState(false);
  const openByKey = (event: KeyboardEvent) => {
    if (event.key !== 'ArrowDown' && event.key !== 'ArrowUp') return;
    event.preventDefault();
    setWanted(true);
  };
  const closed = (
    <button
      type="button"
      className={menuButtonClass(props.kind)}
      aria-label={props['aria-label']}
      aria-haspopup="true"
      aria-expanded={false}
      onPointerEnter={() => void load()}
      onFocus={() => void load()}
      onClick={() => setWanted(true)}
      onKeyDown={openByKey}
    >
      {props.label}
    </button>
  );
  if (!wanted) return closed;
  return (
    <Suspense fallback={closed}>
      <MenuPopover {...props} />
    </Suspense>
  );
}
