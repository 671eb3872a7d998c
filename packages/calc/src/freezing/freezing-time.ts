import { list, oneOf, optional, rational, readInput, record, refine } from '../input.ts';
import type { Of, RationalBounds } from '../input.ts';
import type { Rational } from '../rational.ts';
import { add, cmp, div, format, mul, one, parse, round, sub, sum, zero } from '../rational.ts';

/**
 * Plank's P and R for each shape, and what its `thickness` is: of a slab that freezes from both faces the whole thickness, else the diameter.
 * Source: Encyclopaedia of Food Sciences (B. Caballero, ed.), chapter on freezing, after R. Plank (1913): slab 1/2 and 1/8, long cylinder 1/4 and 1/16, sphere 1/6 and 1/24.
 */
export const plankFactors = {
  slab: { p: parse('1/2'), r: parse('1/8') },
  cylinder: { p: parse('1/4'), r: parse('1/16') },
  sphere: { p: parse('1/6'), r: parse('1/24') },
} as const;

export type FreezingShape = keyof typeof plankFactors;

/** Bounds far outside of any kitchen: beyond them a unit was mistaken, millimetres for metres most often. */
const between = (least: string, most: string): RationalBounds => ({ atLeast: parse(least), atMost: parse(most) });
const degrees = rational(between('-200', '100'));
const leastDifference = one;

const readFreezing = refine(
  record({
    shape: oneOf(['slab', 'cylinder', 'sphere']),
    thickness: rational(between('0.001', '2')),
    density: rational(between('10', '20000')),
    latentHeat: rational(between('1000', '10000000')),
    conductivity: rational(between('0.001', '1000')),
    surfaceCoefficient: rational(between('0.1', '100000')),
    freezingPoint: degrees,
    medium: degrees,
    layers: optional(
      list(record({ thickness: rational(between('0', '0.1')), conductivity: rational(between('0.001', '1000')) }), {
        longest: 20,
      }),
    ),
    sensibleHeat: optional(
      record({ before: rational(between('0', '10000000')), after: rational(between('0', '10000000')) }),
    ),
  }),
  (input, place) =>
    cmp(sub(input.freezingPoint, input.medium), leastDifference) < 0
      ? place.at('medium').fault('Must be at least one degree colder than freezingPoint.')
      : input,
);

type FreezingInput = Of<typeof readFreezing>;

/** The resistance to heat of the surface and of what is wrapped around it, in m2 K / W. */
const surfaceResistance = ({ surfaceCoefficient, layers = [] }: FreezingInput): Rational =>
  add(div(one, surfaceCoefficient), sum(layers.map(({ thickness, conductivity }) => div(thickness, conductivity))));

/** Heat that a kilogram gives off: to freeze and, where it was said, to come down to the freezing point and below it. */
const heatPerKilogram = ({ latentHeat, sensibleHeat }: FreezingInput): Rational =>
  sum([latentHeat, sensibleHeat?.before ?? zero, sensibleHeat?.after ?? zero]);

/** Plank's equation, in seconds. */
function plank(input: FreezingInput): Rational {
  const { p, r } = plankFactors[input.shape];
  const { thickness, density, conductivity, freezingPoint, medium } = input;
  const outside = mul(mul(p, thickness), surfaceResistance(input));
  const inside = div(mul(r, mul(thickness, thickness)), conductivity);
  const driven = div(mul(density, heatPerKilogram(input)), sub(freezingPoint, medium));
  return mul(driven, add(outside, inside));
}

/** The input as it was reckoned with, layers in an order of their own. */
function echo(input: FreezingInput): FreezingInputs {
  const { shape, layers = [], sensibleHeat } = input;
  const layerOrder = (a: Layer, b: Layer): number =>
    cmp(a.thickness, b.thickness) || cmp(a.conductivity, b.conductivity);
  return {
    shape,
    thickness: format(input.thickness),
    density: format(input.density),
    latentHeat: format(input.latentHeat),
    conductivity: format(input.conductivity),
    surfaceCoefficient: format(input.surfaceCoefficient),
    freezingPoint: format(input.freezingPoint),
    medium: format(input.medium),
    layers: [...layers].sort(layerOrder).map(({ thickness, conductivity }) => ({
      thickness: format(thickness),
      conductivity: format(conductivity),
    })),
    sensibleHeat: { before: format(sensibleHeat?.before ?? zero), after: format(sensibleHeat?.after ?? zero) },
  };
}

type Layer = NonNullable<FreezingInput['layers']>[number];

/** Exact numbers as text, in SI units; temperatures in degrees Celsius. */
export interface FreezingInputs {
  shape: FreezingShape;
  thickness: string;
  density: string;
  latentHeat: string;
  conductivity: string;
  surfaceCoefficient: string;
  freezingPoint: string;
  medium: string;
  layers: { thickness: string; conductivity: string }[];
  sensibleHeat: { before: string; after: string };
}

export interface FreezingTimeResult {
  /** Always true: it says when to look, and nothing about safety. */
  estimate: true;
  seconds: string;
  secondsRounded: number;
  heatPerKilogram: string;
  inputs: FreezingInputs;
}

/**
 * How long food takes to freeze, by Plank's equation: t = density x heat / (freezing point - medium) x (P a / h + R a^2 / k), with a the thickness or
 * diameter; packaging adds thickness / conductivity to 1 / h. The equation counts latent heat only; `sensibleHeat` adds the heat to be taken out before and
 * after freezing. An estimate under constant conditions, never proof that food is frozen or safe. Source: R. Plank (1913); the correction and
 * the slab that the tests check, R. L. Earle, Unit Operations in Food Processing.
 * Input in SI units, exact numbers: `{shape: "slab" | "cylinder" | "sphere", thickness (m), density (kg/m3), latentHeat (J/kg), conductivity (of the frozen
 * food, W/m K), surfaceCoefficient (W/m2 K), freezingPoint, medium (C), layers?: [{thickness (m), conductivity (W/m K)}] (on each face), sensibleHeat?: {before,
 * after} (J/kg)}`. Result: `seconds` exact, `secondsRounded` to the nearest, `heatPerKilogram`, `inputs` as used, and `estimate`. Error: `invalid-input`.
 */
export function freezingTime(input: unknown): FreezingTimeResult {
  const given = readInput(readFreezing, input);
  const seconds = plank(given);
  return {
    estimate: true,
    seconds: format(seconds),
    secondsRounded: Number(round(seconds)),
    heatPerKilogram: format(heatPerKilogram(given)),
    inputs: echo(given),
  };
}
