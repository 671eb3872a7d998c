import { useState } from 'react';
import { useLimitWords } from '../../lib/limit-words.ts';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { Row } from '../../ui/page.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import type { Draft } from './rota-queries.ts';
import { useDraft } from './use-draft.ts';

/** The page's main act, in two steps, since everybody counts on a published turn. */
export function PublishCard({ draft }: { draft: Draft }) {
  const t = useT();
  const words = useLimitWords();
  const [isOpen, setOpen] = useState(false);
  const change = useDraft(draft);
  const mayPublish = draft.brokenAccepted;
  const refused = change.problem?.errors.flatMap((fault) => words.ofFault(fault) ?? []) ?? [];
  const close = () => {
    change.reset();
    setOpen(false);
  };
  return (
    <>
      <Row>
        {mayPublish ? (
          <Button kind="main" onPress={() => setOpen(true)}>
            {t('rota.publish')}
          </Button>
        ) : (
          <p className="soft">{t('rota.decideFirst')}</p>
        )}
        <Button
          kind="plain"
          onPress={() => change.mutate({ act: 'set-aside' })}
          isPending={change.isPending && !isOpen}
        >
          {t('rota.setAside')}
        </Button>
      </Row>
      {!isOpen && <Problem error={change.error} />}
      <Dialog title={t('rota.publishAsk')} isOpen={isOpen} onClose={close}>
        <p>{t('rota.publishMeans')}</p>
        {refused.map((sentence) => (
          <p key={sentence}>{sentence}</p>
        ))}
        <Problem error={change.error} />
        <Row>
          <Button onPress={() => change.mutate({ act: 'publish' }, { onSuccess: close })} isPending={change.isPending}>
            {t('rota.publish')}
          </Button>
          <Button kind="plain" onPress={close}>
            {t('rota.notYet')}
          </Button>
        </Row>
      </Dialog>
    </>
  );
}
