import type { ReactNode } from 'react';

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

export interface MenuButtonProps {
  label: ReactNode;
  'aria-label'?: string;
  groups: readonly MenuGroup[];
  kind?: 'normal' | 'plain' | 'bare';
}

export const menuButtonClass = (kind: MenuButtonProps['kind'] = 'normal'): string =>
  ({ normal: 'button', plain: 'button button-plain', bare: '' })[kind];
