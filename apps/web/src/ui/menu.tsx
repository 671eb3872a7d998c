import type { ReactNode } from 'react';
import { Button as AriaButton } from 'react-aria-components/Button';
import { Header, Menu, MenuItem, MenuSection, MenuTrigger, Popover } from 'react-aria-components/Menu';
import { CheckIcon } from './icons.tsx';

export interface MenuEntry {
  id: string;
  label: ReactNode;
  onAction: () => void;
  /** Of a set of choices, the one in use. */
  isChosen?: boolean;
  textValue?: string;
  lang?: string;
}

export interface MenuGroup {
  title?: string;
  entries: readonly MenuEntry[];
}

/** A button that opens a list of acts: the household's menu, or "More" on a row. */
export function MenuButton(props: {
  label: ReactNode;
  'aria-label'?: string;
  groups: readonly MenuGroup[];
  kind?: 'normal' | 'plain' | 'bare';
}) {
  const { kind = 'normal' } = props;
  const className = kind === 'bare' ? '' : kind === 'plain' ? 'button button-plain' : 'button';
  return (
    <MenuTrigger>
      <AriaButton className={className} aria-label={props['aria-label']}>
        {props.label}
      </AriaButton>
      <Popover className="popover" offset={6}>
        <Menu className="menu">
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
