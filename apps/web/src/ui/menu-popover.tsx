import { Button } from 'react-aria-components/Button';
import { Header, Menu, MenuItem, MenuSection, MenuTrigger, Popover } from 'react-aria-components/Menu';
import { CheckIcon } from './icons.tsx';
import { menuButtonClass, type MenuButtonProps } from './menu-props.ts';

/** The menu itself, fetched when it is first opened, and therefore open from the start. */
export default function MenuPopover(props: MenuButtonProps) {
  return (
    <MenuTrigger defaultOpen>
      <Button className={menuButtonClass(props.kind)} aria-label={props['aria-label']}>
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
