import { cooperativeMark, readLabelAddress } from '@frostmoot/calc';
import { useRef, useState, type ReactNode } from 'react';
import { labelCode } from '../../lib/label-code.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { Button } from '../button.tsx';
import { TextField } from '../fields.tsx';
import { Form } from '../form.tsx';
import { StateMark } from '../state-mark.tsx';
import { useCamera } from './use-camera.ts';
import './scan.css';

export interface ScanProps {
  /** A container's code, scanned or typed; the same one is told once until another is. */
  onCode: (code: string) => void;
  onClose: () => void;
  /** What has become of the codes so far. */
  children?: ReactNode;
}

/** The camera with what it finds, and the field for the code beside it, whether there is a camera or not. */
export function ScanView({ onCode, onClose, children }: ScanProps) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const [typed, setTyped] = useState('');
  const [words, setWords] = useState('');
  const last = useRef('');
  /** Takes the code of an address of ours; says in words why not of any other. */
  const takeLabel = ({ mark, code }: { mark: string; code: string }) => {
    const isOurs = mark === cooperativeMark(cooperativeId);
    setWords(isOurs ? '' : t('scan.otherCooperative', { code }));
    if (isOurs) onCode(code);
  };
  const { video, state } = useCamera((text) => {
    if (text === last.current) return;
    last.current = text;
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
          <StateMark state="problem">{t(state === 'no-camera' ? 'scan.noCamera' : 'scan.noReader')}</StateMark>
        </p>
      )}
      <div role="status">
        {words && <StateMark state="problem">{words}</StateMark>}
        {children}
      </div>
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
