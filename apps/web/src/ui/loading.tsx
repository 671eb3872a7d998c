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
