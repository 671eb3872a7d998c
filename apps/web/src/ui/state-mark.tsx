import type { ReactNode } from 'react';

export type StateShape = 'free' | 'setAside' | 'taken' | 'offered' | 'waiting' | 'done' | 'problem' | 'away';

const SHAPES: Record<StateShape, ReactNode> = {
  free: <circle cx="8" cy="8" r="5.8" fill="none" stroke="currentColor" strokeWidth="2" />,
  setAside: <path d="M2 2h12v12H2zM4 4v8h4V4z" fillRule="evenodd" transform="rotate(180 8 8)" />,
  taken: <path d="M1.5 1.5h13v13h-13z" />,
  offered: <path d="M8 2l6 6-6 6-6-6z" fill="none" stroke="currentColor" strokeWidth="2" />,
  waiting: (
    <path
      d="M3.5 2h9M3.5 14h9M4.5 2c0 4 3.5 4 3.5 6s-3.5 2-3.5 6M11.5 2c0 4-3.5 4-3.5 6s3.5 2 3.5 6"
      fill="none"
      stroke="currentColor"
      strokeWidth="1.7"
    />
  ),
  done: <path d="M2.5 8.5l3.5 3.7 7.5-8.7" fill="none" stroke="currentColor" strokeWidth="2.5" />,
  problem: <path d="M5 .6h6L15.4 5v6L11 15.4H5L.6 11V5zM7 3.5v5.7h2V3.5zM7 10.7v2h2v-2z" fillRule="evenodd" />,
  away: <path d="M1.5 8h3M6.5 8h3M11.5 8h3" fill="none" stroke="currentColor" strokeWidth="2" />,
};

/** The shape alone; always beside its word. */
export function StateShapeIcon({ state, size = 16 }: { state: StateShape; size?: number }) {
  return (
    <svg viewBox="0 0 16 16" width={size} height={size} fill="currentColor" aria-hidden="true">
      {SHAPES[state]}
    </svg>
  );
}

/** A state by word and shape: the shape is decoration, the word (children) is the content. */
export function StateMark({ state, children }: { state: StateShape; children: ReactNode }) {
  return (
    <span className="state-mark">
      <StateShapeIcon state={state} />
      <span>{children}</span>
    </span>
  );
}
