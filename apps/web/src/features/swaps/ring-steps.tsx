import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { alike } from './my-side.ts';
import type { Ring } from './swap-query.ts';

/** Every step of a ring in a sentence, with the number that it has in the picture; my household's first. */
export function RingSteps({ ring }: { ring: Ring }) {
  const t = useT();
  const formats = useFormats();
  const last = ring.steps.length - 1;
  return (
    <ol className="ring-steps" role="list">
      {ring.steps.map(({ giver, receiver, containers }, index) => {
        const what = formats.list(
          alike(containers).map(({ dish, portions, containers: same }) =>
            t('swaps.containerWords', { n: same.length, dish, portions }),
          ),
        );
        const values = { from: giver.name, to: receiver.name, what };
        const key = index === 0 ? 'mine' : index === last ? 'toMe' : 'others';
        return (
          <li key={giver.id}>
            <span className="ring-step-number" aria-hidden="true">
              {formats.number(index + 1)}
            </span>
            <p>
              {index === 0 ? <strong>{t('swaps.ring.step.mine', values)}</strong> : t(`swaps.ring.step.${key}`, values)}
              {index > 0 && <Difference ring={ring} index={index} />}
            </p>
          </li>
        );
      })}
    </ol>
  );
}

/** What an uneven ring leaves another household short of or ahead by. */
function Difference({ ring, index }: { ring: Ring; index: number }) {
  const t = useT();
  const member = ring.members[index];
  if (!member || member.portionsGiven === member.portionsGot) return null;
  const { household, portionsGiven: given, portionsGot: got } = member;
  const n = Math.abs(given - got);
  return (
    <span className="soft">
      {' '}
      {t(given > got ? 'swaps.ring.short' : 'swaps.ring.ahead', { other: household.name, n })}
    </span>
  );
}
