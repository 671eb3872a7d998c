import { HATCH } from '../../ui/patterns.tsx';
import type { Curve } from './cooling-now.ts';

const WIDTH = 320;
const HEIGHT = 150;

/** Measured temperatures as a step line held at the last reading, against the hatched area where the food must not be. The table beside it says the same. */
export function CoolingCurve({ curve, label }: { curve: Curve; label: string }) {
  const x = (minutes: number): number => (minutes / curve.minutes) * WIDTH;
  const y = (celsius: number): number => HEIGHT - (Math.max(0, celsius) / curve.celsius) * HEIGHT;
  return (
    <svg className="cooling-curve" viewBox={`-4 -4 ${WIDTH + 8} ${HEIGHT + 8}`} role="img" aria-label={label}>
      {curve.forbidden.map(({ minutes, celsius, until }) => (
        <rect key={minutes} x={x(minutes)} y={0} width={x(until) - x(minutes)} height={y(celsius)} fill={HATCH} />
      ))}
      <path className="cooling-axis" d={`M0 0V${HEIGHT}H${WIDTH}`} />
      <path className="cooling-now" d={`M${x(curve.now)} 0V${HEIGHT}`} />
      <polyline
        className="cooling-line"
        points={curve.line.map(({ minutes, celsius }) => `${x(minutes)},${y(celsius)}`).join(' ')}
      />
      {curve.measured.map(({ minutes, celsius }, index) => (
        <circle key={index} className="cooling-point" cx={x(minutes)} cy={y(celsius)} r={4} />
      ))}
    </svg>
  );
}
