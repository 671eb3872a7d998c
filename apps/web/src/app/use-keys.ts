import { useNavigate } from '@tanstack/react-router';
import { useEffect } from 'react';
import { undoLast } from '../ui/toast.tsx';

const PLACES = { 1: '/', 2: '/round', 3: '/freezer', 4: '/swaps', 5: '/accounts' } as const;

const isTyping = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement && (target.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(target.tagName));

/** Single keys, only while no field has the focus and no dialog or menu is open. */
export function useKeys(openList: () => void): void {
  const navigate = useNavigate();
  useEffect(() => {
    const press = (event: KeyboardEvent) => {
      const modified = event.ctrlKey || event.metaKey || event.altKey;
      if (modified || event.defaultPrevented || isTyping(event.target)) return;
      if (document.querySelector('[role="dialog"], [role="menu"]')) return;
      if (event.key === '?') openList();
      else if (event.key === '/') focusSearch(event);
      else if (event.key === 'u') undoLast();
      else if (event.key in PLACES) void navigate({ to: PLACES[event.key as unknown as keyof typeof PLACES] });
    };
    addEventListener('keydown', press);
    return () => removeEventListener('keydown', press);
  }, [navigate, openList]);
}

function focusSearch(event: KeyboardEvent): void {
  const field = document.querySelector<HTMLElement>('input[type="search"]');
  if (!field) return;
  event.preventDefault();
  field.focus();
}
