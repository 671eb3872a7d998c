import type { ReactNode } from 'react';
import { useT } from '../lib/locale.tsx';
import { Button } from './button.tsx';

/** The acts at the end of a form that opened over something else. */
export function SubmitOrCancel(props: { submit: ReactNode; isPending: boolean; onCancel: () => void }) {
  const t = useT();
  return (
    <>
      <Button type="submit" isPending={props.isPending}>
        {props.submit}
      </Button>
      <Button kind="plain" onPress={props.onCancel}>
        {t('common.cancel')}
      </Button>
    </>
  );
}
