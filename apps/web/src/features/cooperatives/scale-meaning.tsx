import { energySource, referenceKilocalories } from '@frostmoot/calc';
import { useT } from '../../lib/locale.tsx';
import type { Cooperative } from '../../lib/session.tsx';
import { CHILD_BELOW } from './weight-policy.ts';

/** What a way of counting heads means, with the source of its numbers where they are published. */
export function ScaleMeaning({ scale }: { scale: Cooperative['weightScale'] }) {
  const t = useT();
  if (scale === 'own') return <p className="soft">{t('coordinator.scaleMeans.own')}</p>;
  return (
    <p className="soft">
      {scale === 'energy'
        ? t('coordinator.scaleMeans.energy', {
            kilocalories: referenceKilocalories,
            title: energySource.title,
            edition: energySource.edition,
          })
        : t('coordinator.scaleMeans.per-head', { age: CHILD_BELOW })}
    </p>
  );
}
