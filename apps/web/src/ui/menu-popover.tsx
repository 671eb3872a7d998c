import { useEffect, useRef, useState } from 'react';
import { Button } from 'react-aria-components/Button';
import { Header, Menu, MenuItem, MenuSection, MenuTrigger, Popover } from 'react-aria-components/Menu';
import { CheckIcon } from './icons.tsx';
import { menuButtonClass, type MenuButtonProps } from './menu-props.ts';

/** The menu itself, fetched when it is first opened, and therefore opened at once. */
export default function MenuPopover(props: MenuButtonProps) {
  const trigger = useRef<HTMLButtonElement>(null);
  const [isOpen, setOpen] = useState(false);
  useEffect(() => {
    // The button that was pressed has gone; without this there would be none to give the focus back to.
    trigger.current?.focus({ preventScroll: true });
    setOpen(true);
  }, []);
  return (
    <MenuTrigger isOpen={isOpen} onOpenChange={setOpen}>
      <Button ref={trigger} className={menuButtonClass(props.kind)} aria-label={props['aria-label']}>
        {props.label}
      </Button>
      <Popover className="popover" offset={6}>
        <Menu className="menu" autoFocus="first">
          {props.groups.map((group, index) => (
            <MenuSection key={index} className="menu-section" aria-label={group.title ?? `${index + 1}`}>
              {group.title ? <Header className="menu-head">{group.title}</Header> : null}
              {group.entries.map((entry) => (
                <MenuItem
                  key={entry.id}
                  id={entry.id}
                  className="menu-item"
                  onAction={entry.onAction}
                  textValue={entry.textValue ?? (typeof entry.label === 'string' ? entry.label : entry.id)}
                >
                  {entry.isChosen !== undefined && (
                    <span className="menu-item-mark">{entry.isChosen && <CheckIcon size={16} />}</span>
                  )}
                  <span lang={entry.lang}>{entry.label}</span>
                </MenuItem>
              ))}
            </MenuSection>
          ))}
        </Menu>
      </Popover>
    </MenuTrigger>
  );
}
