import type { ReactNode } from 'react';
import { patternFill } from './patterns.tsx';

const CELL = 12;
const HEIGHT = 22;

/**
 * A container drawn to its portions: as many cells as portions. `dishIndex` gives the dish's pattern within its round; elsewhere boxes are
 * plain. Decoration: name and portions stand beside it in words.
 */
export function ContainerBox({
  portions,
  dishIndex,
  small,
}: {
  portions: number;
  dishIndex?: number;
  small?: boolean;
}) {
  const cell = small ? 8 : CELL;
  const height = small ? 15 : HEIGHT;
  const width = Math.max(1, portions) * cell;
  return (
    <svg
      className="container-box"
      width={width + 2}
      height={height + 2}
      viewBox={`-1 -1 ${width + 2} ${height + 2}`}
      aria-hidden="true"
    >
      <rect
        width={width}
        height={height}
        rx="2.5"
        fill={dishIndex === undefined ? 'var(--card)' : patternFill(dishIndex)}
        stroke="var(--ink)"
        strokeWidth="1.6"
      />
      {Array.from({ length: Math.max(0, portions - 1) }, (_, index) => (
        <path key={index} d={`M${(index + 1) * cell} 0V${height}`} stroke="var(--ink)" strokeWidth="1" opacity="0.75" />
      ))}
    </svg>
  );
}

/** The box as the lead of a row, as wide as most boxes are, so that the names below one another begin in one line. */
export const ContainerLead = (props: { portions: number; dishIndex?: number }) => (
  <span className="container-lead">
    <ContainerBox {...props} />
  </span>
);

/** Which pattern is which dish; `portions` draws the dish's usual container. */
export function DishLegend({
  dishes,
}: {
  dishes: readonly { name: ReactNode; dishIndex: number; portions: number }[];
}) {
  return (
    <ul className="legend" role="list">
      {dishes.map((dish) => (
        <li key={dish.dishIndex}>
          <ContainerBox small portions={dish.portions} dishIndex={dish.dishIndex} />
          {dish.name}
        </li>
      ))}
    </ul>
  );
}
