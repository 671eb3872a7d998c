import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { ringShape } from './ring-shape.ts';
import type { Ring } from './swap-query.ts';

/** Names that are longer are drawn narrower, so that they stay in their box. */
const LONGEST = 13;

/** The ring as a ring: my household on top, what each has said, and numbers that point to the sentences beside it. */
export function RingPicture({ ring }: { ring: Ring }) {
  const t = useT();
  const formats = useFormats();
  const shape = ringShape(ring.members.length);
  const { node } = shape;
  const names = formats.list(ring.members.map(({ household }) => household.name));
  return (
    <svg
      className="ring-picture"
      viewBox={`0 0 ${shape.width} ${shape.height}`}
      style={{ maxInlineSize: `${shape.width}px` }}
      role="img"
      aria-label={t('swaps.ring.picture', { names })}
    >
      {shape.arrows.map(({ path, tip }, index) => (
        <g key={ring.members[index]?.household.id}>
          <path d={path} className="ring-line" />
          <path
            d="M0 0l-14 -7v14z"
            transform={`translate(${tip.x} ${tip.y}) rotate(${tip.turn})`}
            className="ring-tip"
          />
        </g>
      ))}
      {ring.members.map(({ household, answer }, index) => {
        const at = shape.nodes[index] ?? { x: 0, y: 0 };
        const isMine = index === 0;
        return (
          <g key={household.id} transform={`translate(${at.x} ${at.y})`}>
            <rect
              className={isMine ? 'ring-node ring-node-mine' : 'ring-node'}
              x={-node.width / 2}
              y={-node.height / 2}
              width={node.width}
              height={node.height}
              rx="7"
            />
            <text
              className="ring-name"
              y="-3"
              {...(household.name.length > LONGEST
                ? { textLength: node.width - 14, lengthAdjust: 'spacingAndGlyphs' as const }
                : {})}
            >
              {household.name}
            </text>
            <text className="ring-said" y="17">
              {isMine && answer === null ? t('swaps.ring.you') : t(`swaps.ring.said.${answer ?? 'none'}`)}
            </text>
          </g>
        );
      })}
      {shape.arrows.map(({ number }, index) => (
        <g key={ring.members[index]?.household.id} transform={`translate(${number.x} ${number.y})`}>
          <rect className="ring-number" x="-13" y="-13" width="26" height="26" rx="5" />
          <text className="ring-name" y="5.5">
            {formats.number(index + 1)}
          </text>
        </g>
      ))}
    </svg>
  );
}
