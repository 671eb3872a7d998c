import { useEffect, useState, useSyncExternalStore, type ReactNode } from 'react';
import { useT } from '../lib/locale.tsx';
import { Button } from './button.tsx';
import { CloseIcon } from './icons.tsx';

interface ToastMessage {
  id: number;
  words: ReactNode;
  undo?: () => void;
}

const SECONDS_SHOWN = 20;
const listeners = new Set<() => void>();
let shown: readonly ToastMessage[] = [];
let lastId = 0;

function change(next: readonly ToastMessage[]): void {
  shown = next;
  for (const listener of listeners) listener();
}

const subscribe = (listener: () => void) => {
  listeners.add(listener);
  return () => listeners.delete(listener);
};

/** Says what has just been done; `undo` takes it back. At most two are shown, the newest last. */
export function say(words: ReactNode, undo?: () => void): void {
  lastId += 1;
  change([...shown.slice(-1), { id: lastId, words, undo }]);
}

const dismiss = (id: number): void => change(shown.filter((message) => message.id !== id));

/** Takes back the newest act that can be taken back; the key "u". */
export function undoLast(): boolean {
  const last = shown.findLast((message) => message.undo);
  if (!last) return false;
  dismiss(last.id);
  last.undo?.();
  return true;
}

export function Toasts() {
  const t = useT();
  const messages = useSyncExternalStore(subscribe, () => shown);
  return (
    <div className="toasts" role="status" aria-label={t('common.notices')}>
      {messages.map((message) => (
        <Toast key={message.id} message={message} />
      ))}
    </div>
  );
}

function Toast({ message }: { message: ToastMessage }) {
  const t = useT();
  const [held, setHeld] = useState(false);
  useEffect(() => {
    // It stays for as long as somebody is on it, by pointer or by keyboard.
    if (held) return;
    const timer = setTimeout(() => dismiss(message.id), SECONDS_SHOWN * 1000);
    return () => clearTimeout(timer);
  }, [held, message.id]);
  return (
    <div
      className="toast"
      onMouseEnter={() => setHeld(true)}
      onMouseLeave={() => setHeld(false)}
      onFocus={() => setHeld(true)}
      onBlur={() => setHeld(false)}
    >
      <span>{message.words}</span>
      <span className="toast-acts">
        {message.undo && (
          <Button
            onPress={() => {
              dismiss(message.id);
              message.undo?.();
            }}
          >
            {t('common.undo')}
          </Button>
        )}
        <Button kind="plain" aria-label={t('common.dismiss')} onPress={() => dismiss(message.id)}>
          <CloseIcon />
        </Button>
      </span>
    </div>
  );
}
