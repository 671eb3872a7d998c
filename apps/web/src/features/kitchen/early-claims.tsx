import type { Schemas } from '../../lib/api/schemas.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { ProblemBox } from '../../ui/problem-box.tsx';

export type Claimed = Schemas['Batch']['earlyClaims'];

/** Who has claimed of the batch before the share-out, said before it is counted anew, or thrown away with every claim on it. */
export function ClaimedAlready({ claims, isEnd = false }: { claims: Claimed; isEnd?: boolean }) {
  const t = useT();
  const formats = useFormats();
  if (claims.length === 0) return null;
  const counts = new Map<string, number>();
  for (const { household } of claims) counts.set(household.name, (counts.get(household.name) ?? 0) + 1);
  const words = [...counts].map(([household, n]) => t('kitchen.claimedBy', { household, n }));
  const list = formats.list(words);
  return (
    <p>
      {isEnd
        ? t('kitchen.claimsEnd', { n: claims.length, claims: list })
        : t('kitchen.claimedAlready', { claims: list })}
    </p>
  );
}

/** Which claims could not be kept by the count that was just entered. */
export function ClaimsLost({ lost }: { lost: Claimed }) {
  const t = useT();
  const formats = useFormats();
  if (lost.length === 0) return null;
  const words = lost.map(({ household, code }) => t('kitchen.claimLost', { household: household.name, code }));
  return (
    <ProblemBox appeared title={t('kitchen.claimsLost', { n: lost.length })}>
      <p>{t('kitchen.claimsLostWords', { claims: formats.list(words) })}</p>
    </ProblemBox>
  );
}
