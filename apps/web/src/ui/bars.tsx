import type { ReactNode } from 'react';
import { HATCH, patternFill } from './patterns.tsx';

/**
 * A household's containers end to end against its target line. All bars of one table share `most` (portions), so that they can be compared.
 * Decoration: the numbers in the table are the accessible form.
 */
export function BlocksBar(props: {
  blocks: readonly { portions: number; dishIndex: number }[];
  target: number;
  most: number;
}) {
  const width = 400;
  const scale = (width - 6) / Math.max(1, props.most, props.target);
  let start = 0;
  const blocks = props.blocks.map((block) => {
    const x = start;
    start += block.portions * scale;
    return { ...block, x, width: block.portions * scale - 1.5 };
  });
  const line = props.target * scale;
  return (
    <svg className="blocks-bar" viewBox={`-1 0 ${width} 26`} preserveAspectRatio="xMinYMid meet" aria-hidden="true">
      {blocks.map((block, index) => (
        <rect
          key={index}
          x={block.x}
          y="5"
          width={Math.max(1, block.width)}
          height="16"
          rx="2"
          fill={patternFill(block.dishIndex)}
          stroke="var(--ink)"
          strokeWidth="1.4"
        />
      ))}
      <rect x={line - 2.5} y="1" width="5" height="24" fill="var(--card)" />
      <rect x={line - 1.2} y="1" width="2.4" height="24" fill="var(--ink)" />
    </svg>
  );
}

/** Hatched to the start: still to come. Full to the end: ahead. `half` is the value at which a half is full. */
export function DivergingBar({ value, half }: { value: number; half: number }) {
  const middle = 44;
  const length = Math.min(1, Math.abs(value) / (half || 1)) * (middle - 2);
  const toCome = value < 0;
  return (
    <svg className="diverging-bar" viewBox="0 0 88 16" aria-hidden="true">
      {length > 0 && (
        <rect
          x={toCome ? middle - length : middle}
          y="3"
          width={length}
          height="10"
          fill={toCome ? HATCH : 'var(--bar)'}
          stroke="var(--ink)"
          strokeWidth="1"
        />
      )}
      <path d={`M${middle} 0V16`} stroke="var(--ink)" strokeWidth="2" />
    </svg>
  );
}

interface MeterBarProps {
  /** Full: spent, or in use. */
  full: number;
  /** Hatched after it: expected, or coming. */
  hatched?: number;
  most: number;
  /** A line across: the plan. */
  line?: number;
}

function MeterBar({ full, hatched = 0, most, line }: MeterBarProps) {
  const width = 300;
  const at = (value: number) => (Math.min(Math.max(value, 0), most || 1) / (most || 1)) * width;
  return (
    <svg className="meter-bar" viewBox={`0 0 ${width} 18`} preserveAspectRatio="none" aria-hidden="true">
      <rect x="0" y="3" width={width} height="12" fill="var(--card)" />
      <rect x={at(full)} y="3" width={at(full + hatched) - at(full)} height="12" fill={HATCH} />
      <rect x="0" y="3" width={at(full)} height="12" fill="var(--bar)" />
      <rect
        x="0"
        y="3"
        width={width}
        height="12"
        fill="none"
        stroke="var(--control-line)"
        vectorEffect="non-scaling-stroke"
      />
      {hatched > 0 && (
        <path
          d={`M${at(full)} 3v12M${at(full + hatched)} 3v12`}
          stroke="var(--ink)"
          vectorEffect="non-scaling-stroke"
        />
      )}
      {line !== undefined && (
        <path d={`M${at(line)} 0v18`} stroke="var(--ink)" strokeWidth="3" vectorEffect="non-scaling-stroke" />
      )}
    </svg>
  );
}

/** Money so far: full is spent, hatched is expected, the line is the plan. Words above and below say the same. */
export function TotalBar(props: MeterBarProps & { value: ReactNode; aside?: ReactNode; children?: ReactNode }) {
  const { value, aside, children, ...bar } = props;
  return (
    <div className="total-bar">
      <div className="row row-apart">
        <span className="total-bar-value">{value}</span>
        {aside && <strong>{aside}</strong>}
      </div>
      <MeterBar {...bar} />
      {children && <div className="small soft">{children}</div>}
    </div>
  );
}

/** Room in a freezer: full is in use, hatched is coming. */
export function LitresBar(props: {
  used: number;
  coming?: number;
  total: number;
  title: ReactNode;
  children?: ReactNode;
}) {
  return (
    <div className="total-bar">
      <strong>{props.title}</strong>
      <MeterBar full={props.used} hatched={props.coming} most={props.total} />
      {props.children && <div className="soft">{props.children}</div>}
    </div>
  );
}

/** A bar of two parts in a table cell: full, then hatched. */
export const PartsBar = (props: { full: number; hatched?: number; most: number }) => <MeterBar {...props} />;
