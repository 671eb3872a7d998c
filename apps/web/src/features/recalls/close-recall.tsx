import { useState } from 'react';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { ConfirmTyped } from '../../ui/dialog.tsx';
import { TextField } from '../../ui/fields.tsx';
import { focusLater } from '../../ui/focus-later.ts';
import { Stack } from '../../ui/page.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import type { useRecall } from './use-recall.ts';

/** Ends a recall for good, with a reason where an answer is missing. */
export function CloseRecall({ none, acts }: { none: number; acts: ReturnType<typeof useRecall> }) {
  const t = useT();
  const [isOpen, setOpen] = useState(false);
  const [words, setWords] = useState('');
  const { close } = acts;
  const done = () => {
    setOpen(false);
    focusLater('h1');
  };
  return (
    <>
      <Button onPress={() => setOpen(true)}>{t('recalls.close')}</Button>
      <ConfirmTyped
        isOpen={isOpen}
        onClose={() => setOpen(false)}
        title={t('recalls.closeTitle')}
        word={t('recalls.closeWord')}
        confirm={t('recalls.closeConfirm')}
        keep={t('recalls.closeKeep')}
        isPending={close.isPending}
        problem={<Problem error={close.problem} />}
        onConfirm={() => close.mutate(words.trim(), { onSuccess: done })}
        consequence={
          <Stack>
            <p>{t('recalls.closeWords', { none })}</p>
            {none > 0 && (
              <TextField
                label={t('recalls.closeReason')}
                name="words"
                maxLength={400}
                value={words}
                onChange={setWords}
              />
            )}
          </Stack>
        }
      />
    </>
  );
}
