import { useState } from 'react';
import { useT } from '../../lib/locale.tsx';
import { labelCode } from '../../lib/label-code.ts';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { TextField } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { ScanButton } from '../../ui/scan-button.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import type { Part } from './collection-query.ts';
import type { Door } from './use-collection.ts';

/** Ticks the container whose code was typed; where somebody collects for its household and is here, for them. */
export function CodeField({ parts, door }: { parts: readonly Part[]; door: Door }) {
  const t = useT();
  const { householdId } = useSession();
  const [typed, setTyped] = useState('');
  const [words, setWords] = useState('');
  const tick = (text: string) => {
    const code = labelCode(text);
    const part = parts.find(({ containers }) => containers.some((each) => each.code === code));
    const container = part?.containers.find((each) => each.code === code);
    if (!part || !container) return setWords(t('collection.codeUnknown', { code }));
    if (container.isCollected) return setWords(t('collection.codeDone', { code }));
    if (!part.mayHandOver) return setWords(t('collection.codeOther', { code, household: part.household.name }));
    const to = part.delegate?.id === householdId && part.delegate ? part.delegate : part.household;
    door.tick.mutate({ container, to });
    setTyped('');
    setWords('');
  };
  const begin = () => {
    setWords('');
    door.tick.reset();
  };
  const done = door.tick.variables;
  return (
    <>
      <ScanButton isForMany onCode={tick} onOpen={begin}>
        {words ? (
          <StateMark state="problem">{words}</StateMark>
        ) : (
          door.tick.data &&
          done && (
            <StateMark state="done">
              <bdi>{done.container.code}</bdi> · <bdi>{done.to.name}</bdi>
            </StateMark>
          )
        )}
        <Problem error={door.tick.error} />
      </ScanButton>
      <Form label={t('collection.code')} onSubmit={() => tick(typed)}>
        <div className="collect-code">
          <TextField
            name="code"
            label={t('collection.code')}
            hint={t('collection.codeHint')}
            error={words || undefined}
            value={typed}
            onChange={(next) => {
              setTyped(next);
              setWords('');
            }}
            autoComplete="off"
            autoCapitalize="characters"
            spellCheck={false}
            enterKeyHint="done"
          />
          <Button type="submit">{t('collection.tickCode')}</Button>
        </div>
      </Form>
    </>
  );
}
