import type { ReactNode } from 'react';
import { useT } from '../lib/locale.tsx';

/** Bars where the content will be, from 0.3 s on. */
export function Loading({ lines = 3 }: { lines?: number }) {
  const t = useT();
  return (
    <div className="loading" role="status">
      {Array.from({ length: lines }, (_, index) => (
        <span key={index} />
      ))}
      <span className="hidden">{t('common.loading')}</span>
    </div>
  );
}

/** Long work: its stage in words, the best so far, and a way to stop. `share` (0-1) only where it is really known. */
export function LongWork(props: {
  title: ReactNode;
  stage: ReactNode;
  best?: ReactNode;
  share?: number;
  action?: ReactNode;
}) {
  const t = useT();
  const known = props.share !== undefined;
  return (
    <section className="stack stack-tight">
      <h3>{props.title}</h3>
      <p className="soft" role="status">
        {props.stage}
      </p>
      <div
        className="progress"
        role="progressbar"
        aria-label={t('common.working')}
        aria-valuemin={known ? 0 : undefined}
        aria-valuemax={known ? 100 : undefined}
        aria-valuenow={known ? Math.round((props.share ?? 0) * 100) : undefined}
      >
        <div
          className={known ? 'progress-fill' : 'progress-fill progress-unknown'}
          style={known ? { inlineSize: `${(props.share ?? 0) * 100}%` } : undefined}
        />
      </div>
      {props.best && <p>{props.best}</p>}
      {props.action && <div className="row">{props.action}</div>}
    </section>
  );
}
