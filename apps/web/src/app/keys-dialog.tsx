import { Fragment } from 'react';
import { useT } from '../lib/locale.tsx';
import { Button } from '../ui/button.tsx';
import { Dialog } from '../ui/dialog.tsx';

const KEYS = [
  ['?', 'nav.key.list'],
  ['1', 'nav.thisWeek'],
  ['2', 'nav.round'],
  ['3', 'nav.freezer'],
  ['4', 'nav.swaps'],
  ['5', 'nav.accounts'],
  ['/', 'nav.key.find'],
  ['u', 'nav.key.undo'],
  ['Esc', 'nav.key.close'],
] as const;

export default function KeysDialog({ onClose }: { onClose: () => void }) {
  const t = useT();
  return (
    <Dialog title={t('nav.keys')} isOpen onClose={onClose}>
      <dl className="keys">
        {KEYS.map(([key, words]) => (
          <Fragment key={key}>
            <dt>
              <kbd>{key}</kbd>
            </dt>
            <dd>{t(words)}</dd>
          </Fragment>
        ))}
      </dl>
      <p className="small soft">{t('nav.key.note')}</p>
      <div className="row">
        <Button onPress={onClose}>{t('common.close')}</Button>
      </div>
    </Dialog>
  );
}
