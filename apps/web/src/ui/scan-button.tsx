import { lazy, Suspense, useState, type ReactNode } from 'react';
import { useT } from '../lib/locale.tsx';
import { Button } from './button.tsx';
import { Dialog } from './dialog.tsx';
import { Loading } from './loading.tsx';

const ScanView = lazy(async () => ({ default: (await import('./scan/scan-view.tsx')).ScanView }));

/** "Scan a label": the camera is fetched when it is first wanted. Pages that use it list the area "scan" at their route. */
export function ScanButton(props: {
  onCode: (code: string) => void;
  /** What became of the codes of the time before is of no use any more. */
  onOpen?: () => void;
  /** It stays open for the next label. */
  isForMany?: boolean;
  main?: boolean;
  children?: ReactNode;
}) {
  const t = useT();
  const [isOpen, setOpen] = useState(false);
  const open = () => {
    props.onOpen?.();
    setOpen(true);
  };
  return (
    <>
      <Button kind={props.main ? 'main' : 'normal'} tall onPress={open}>
        {t('scan.scan')}
      </Button>
      <Dialog title={t('scan.title')} isOpen={isOpen} onClose={() => setOpen(false)}>
        <Suspense fallback={<Loading />}>
          <ScanView
            onCode={(code) => {
              if (!props.isForMany) setOpen(false);
              props.onCode(code);
            }}
            onClose={() => setOpen(false)}
          >
            {props.children}
          </ScanView>
        </Suspense>
      </Dialog>
    </>
  );
}
