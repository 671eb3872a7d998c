import { useEffect, useRef, type ReactNode } from 'react';
import { isProblem } from '../lib/api/client.ts';
import { useProblemWords } from '../lib/problem-words.ts';
import { useT } from '../lib/locale.tsx';
import { Button } from './button.tsx';
import { StateShapeIcon } from './state-mark.tsx';

/** Something is wrong: octagon, 3 px frame, the word. `appeared` announces it, for a box that comes up after an act. */
export function ProblemBox(props: { title: ReactNode; children?: ReactNode; action?: ReactNode; appeared?: boolean }) {
  const t = useT();
  const box = useRef<HTMLElement>(null);
  const { appeared = false } = props;
  useEffect(() => {
    // Whoever has just pressed a button looks for its answer there, which may be far from the box; what fails by itself moves nothing.
    if (appeared && document.activeElement instanceof HTMLButtonElement)
      box.current?.scrollIntoView({ block: 'nearest' });
  }, [appeared]);
  return (
    <section className="problem-box" ref={box} role={appeared ? 'alert' : undefined}>
      <h2 className="problem-title">
        <StateShapeIcon state="problem" size={22} />
        <span>
          <span className="hidden">{t('common.problem')}: </span>
          {props.title}
        </span>
      </h2>
      {props.children}
      {props.action && <div className="row">{props.action}</div>}
    </section>
  );
}

/** One point inside a problem box: the two numbers, the remedy in words, and the remedy as its button. */
export function ProblemPoint({
  title,
  children,
  action,
}: {
  title?: ReactNode;
  children?: ReactNode;
  action?: ReactNode;
}) {
  return (
    <div className="problem-point">
      <div>
        {title && <h3>{title}</h3>}
        {children && <div className="soft">{children}</div>}
      </div>
      {action}
    </div>
  );
}

/** A refusal or a lost connection in words; `action` is what to do, `onRetry` adds "Try again". */
export function Problem({ error, action, onRetry }: { error: unknown; action?: ReactNode; onRetry?: () => void }) {
  const t = useT();
  const words = useProblemWords();
  if (!error) return null;
  const { title, detail } = words(error);
  const retry = onRetry && (!isProblem(error) || error.status === 0 || error.status >= 500);
  return (
    <ProblemBox
      appeared
      title={title}
      action={
        (action || retry) && (
          <>
            {action}
            {retry && <Button onPress={onRetry}>{t('common.tryAgain')}</Button>}
          </>
        )
      }
    >
      {detail && <p>{detail}</p>}
    </ProblemBox>
  );
}
