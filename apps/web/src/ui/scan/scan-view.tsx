import { cooperativeMark, readLabelAddress } from '@frostmoot/calc';
import { useState, type ReactNode } from 'react';
import { labelCode } from '../../lib/label-code.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { Button } from '../button.tsx';
import { TextField } from '../fields.tsx';
import { Form } from '../form.tsx';
import { StateMark } from '../state-mark.tsx';
import { onceInSight } from './once.ts';
import { useCamera } from './use-camera.ts';
import './scan.css';

export interface ScanProps {
  /** A container's code, scanned or typed; a label that stays in sight is told once. */
  onCode: (code: string) => void;
  onClose: () => void;
  /** What has become of the codes so far. */
  children?: ReactNode;
}

const WORDS = { 'not-secure': 'scan.notSecure', 'no-camera': 'scan.noCamera', 'no-reader': 'scan.noReader' } as const;

/** The camera with what it finds, and the field for the code beside it, whether there is a camera or not. */
export function ScanView({ onCode, onClose, children }: ScanProps) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const [typed, setTyped] = useState('');
  const [words, setWords] = useState('');
  const [isNew] = useState(onceInSight);
  /** Takes the code of an address of ours; says in words why not of any other. */
  const takeLabel = ({ mark, code }: { mark: string; code: string }) => {
    const isOurs = mark === cooperativeMark(cooperativeId);
    setWords(isOurs ? '' : t('scan.otherCooperative', { code }));
    if (isOurs) onCode(code);
  };
  const { video, state } = useCamera((text) => {
    if (!isNew(text, performance.now())) return;
    const label = readLabelAddress(text);
    if (label) takeLabel(label);
    else setWords(t('scan.notOurs'));
  });
  const takeTyped = () => {
    const [label, code] = [readLabelAddress(typed), labelCode(typed)];
    if (code === '') return;
    setTyped('');
    if (label) return takeLabel(label);
    setWords('');
    onCode(code);
  };
  return (
    <>
      {state === 'looking' ? (
        <>
          <video ref={video} className="scan-video" aria-label={t('scan.video')} muted playsInline />
          <p className="soft">{t('scan.hold')}</p>
        </>
      ) : (
        <p role="alert">
          <StateMark state="problem">{t(WORDS[state])}</StateMark>
        </p>
      )}
      <div role="status">{words ? <StateMark state="problem">{words}</StateMark> : children}</div>
      <Form
        label={t('scan.code')}
        onSubmit={takeTyped}
        acts={
          <>
            <Button type="submit">{t('scan.use')}</Button>
            <Button kind="plain" onPress={onClose}>
              {t('scan.done')}
            </Button>
          </>
        }
      >
        <TextField
          name="scanned"
          label={t('scan.code')}
          hint={t('scan.codeHint')}
          value={typed}
          onChange={setTyped}
          autoComplete="off"
          autoCapitalize="characters"
          spellCheck={false}
          enterKeyHint="done"
        />
      </Form>
    </>
  );
}
