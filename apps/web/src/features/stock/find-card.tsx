import { useNavigate } from '@tanstack/react-router';
import { useState } from 'react';
import { useT } from '../../lib/locale.tsx';
import { useIsWide } from '../../lib/use-is-wide.ts';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { TextField } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { ScanButton } from '../../ui/scan-button.tsx';
import './stock.css';

/** Finds a container by the code on its label, or by its dish; what was looked for stays in the address. */
export function FindCard({ looked }: { looked: string }) {
  const t = useT();
  const navigate = useNavigate();
  const [typed, setTyped] = useState(looked);
  const isWide = useIsWide();
  const look = (find: string) =>
    void navigate({ to: '/freezer', search: find === '' ? {} : { find }, replace: looked !== '' });
  return (
    <Card title={t('freezer.findTitle')}>
      {!isWide && <ScanButton main onCode={look} />}
      <Form label={t('freezer.findTitle')} onSubmit={() => look(typed.trim())}>
        <div className="find-line">
          <TextField
            label={t('freezer.codeLabel')}
            hint={t('freezer.codeHint')}
            name="find"
            value={typed}
            onChange={setTyped}
            autoComplete="off"
            autoCapitalize="characters"
            spellCheck={false}
            enterKeyHint="search"
          />
          <Button kind={isWide ? 'main' : 'normal'} type="submit">
            {t('common.find')}
          </Button>
        </div>
      </Form>
      {looked !== '' && (
        <Button
          kind="plain"
          onPress={() => {
            setTyped('');
            look('');
          }}
        >
          {t('freezer.showAll')}
        </Button>
      )}
    </Card>
  );
}
