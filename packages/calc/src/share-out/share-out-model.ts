import type { Division } from './division.ts';
import { guaranteed } from './division.ts';
import type { Holding } from './holding.ts';
import { isZero } from '../rational.ts';
import type { IntegerModel } from '../solver/model.ts';
import { ModelBuilder } from '../solver/model-builder.ts';
import { gcd } from './scale.ts';
import type { Scale } from './squares.ts';
import { addSquares } from './squares.ts';

type Term = readonly [string, number];

/** Names in which the order of the alphabet is the drawn order of households and lots, so that a model is the same however its input was written. */
const padded = (n: number): string => n.toString().padStart(4, '0');
export const containersName = (h: number, l: number): string => `containers ${padded(h)} ${padded(l)}`;
const spareName = (l: number): string => `spare ${padded(l)}`;

/** A model while it is being written. */
interface Writing {
  model: ModelBuilder;
  start: Map<string, number>;
  holding: Holding;
  /** mayTake[household][lot]: whether it may have more of it than it held from before */
  mayTake: readonly (readonly boolean[])[];
}

const begin = (holding: Holding, mayTake: Writing['mayTake']): Writing => ({
  model: new ModelBuilder(),
  start: new Map(),
  holding,
  mayTake,
});

const everything = (holding: Holding): boolean[][] =>
  holding.problem.households.map((_, h) => holding.problem.lots.map((__, l) => holding.eats(h, l)));

/** How many containers of each lot each household has: the variables that all models of a share-out have in common, with the rows that keep them possible. */
function addContainers({ model, start, holding, mayTake }: Writing, mayLeave: boolean): Term[] {
  const { households, lots, held, free } = holding.problem;
  const ofLot: Term[][] = lots.map(() => []);
  const step = Number(lots.reduce((common, { containerMl = 0 }) => gcd(common, BigInt(containerMl)), 0n)) || 1;
  households.forEach(({ freezerMl }, h) => {
    const space: Term[] = [];
    lots.forEach(({ containerMl = 0 }, l) => {
      const mine = held[h]?.[l] ?? 0;
      const isOpen = mayTake[h]?.[l] ?? false;
      if (mine === 0 && !isOpen) return;
      const name = model.whole(containersName(h, l), mine, isOpen ? mine + (free[l] ?? 0) : mine);
      start.set(name, holding.counts[h]?.[l] ?? 0);
      ofLot[l]?.push([name, 1]);
      if (containerMl > 0) space.push([name, Math.floor(containerMl / step)]);
    });
    if (freezerMl === undefined || space.length === 0) return;
    const filled = lots.reduce((ml, { containerMl = 0 }, l) => ml + (held[h]?.[l] ?? 0) * containerMl, 0);
    model.atMost(`freezer ${padded(h)}`, space, Math.floor(Math.max(freezerMl, filled) / step));
  });
  const spare: Term[] = [];
  lots.forEach(({ containers }, l) => {
    const terms = ofLot[l] ?? [];
    const isEaten = households.some((_, h) => holding.eats(h, l));
    if (mayLeave && isEaten) {
      const name = model.whole(spareName(l), 0, free[l] ?? 0);
      start.set(name, holding.spare[l] ?? 0);
      spare.push([name, 1]);
      model.equals(`lot ${padded(l)}`, [...terms, [name, 1]], containers);
    } else if (terms.length > 0)
      model.equals(`lot ${padded(l)}`, terms, isEaten ? containers : containers - (free[l] ?? 0));
  });
  return spare;
}

function eachVariable(
  holding: Holding,
  mayTake: readonly (readonly boolean[])[],
  visit: (h: number, l: number, name: string) => void,
): void {
  holding.problem.households.forEach((_, h) =>
    holding.problem.lots.forEach((__, l) => {
      if (mayTake[h]?.[l] || (holding.problem.held[h]?.[l] ?? 0) > 0) visit(h, l, containersName(h, l));
    }),
  );
}

/** Rows and aims of the wishes: refused containers, containers outside the fair share of their dish, scores. A stage that is proved already is kept as a row. */
function addWishes(
  { model, start, holding, mayTake }: Writing,
  { proofs }: Division,
  values: WishValues,
  isFinal: boolean,
): void {
  const { households, dishes, dishOf, lots } = holding.problem;
  const refused: Term[] = [];
  const score: Term[] = [];
  const ofDish = households.map(() => dishes.map((): Term[] => []));
  eachVariable(holding, mayTake, (h, l, name) => {
    const dish = lots[l]?.dish ?? '';
    if (households[h]?.refuses.has(dish)) refused.push([name, 1]);
    const points = households[h]?.scores.get(dish) ?? 0;
    if (points !== 0) score.push([name, points]);
    ofDish[h]?.[dishOf[l] ?? 0]?.push([name, 1]);
  });
  // A stage may be kept as it is only when those before it are: they come first, and may take from it.
  const isRefusedFixed = isFinal && proofs.refused !== 'open';
  const isOutsideFixed = isRefusedFixed && proofs.outsideFairShare !== 'open';
  if (refused.length > 0) {
    if (isRefusedFixed) model.atMost('refused', refused, values.refused);
    else model.seek('refused', 'least', refused);
  }
  const outside: Term[] = [];
  ofDish.forEach((row, h) =>
    row.forEach((terms, d) => {
      if (terms.length === 0) return;
      const [least, most] = holding.fair[h]?.[d] ?? [0, 0];
      const place = `${padded(h)} ${padded(d)}`;
      if (isOutsideFixed && values.outsideFairShare === 0) {
        model.between(`share ${place}`, terms, least, most);
        return;
      }
      const all = lots.reduce((n, { containers }, l) => n + (dishOf[l] === d ? containers : 0), 0);
      const over = model.wholeByStructure(`over ${place}`, 0, all);
      const under = model.wholeByStructure(`under ${place}`, 0, all);
      model.between(`share ${place}`, [...terms, [over, -1], [under, 1]], least, most);
      start.set(over, Math.max(0, (holding.ofDish[h]?.[d] ?? 0) - most));
      start.set(under, Math.max(0, least - (holding.ofDish[h]?.[d] ?? 0)));
      outside.push([over, 1], [under, 1]);
    }),
  );
  if (outside.length > 0) {
    if (isOutsideFixed) model.atMost('outside', outside, values.outsideFairShare);
    else model.seek('outsideFairShare', 'least', outside);
  }
  if (score.length > 0) model.seek('score', 'most', score);
}

export interface WishValues {
  refused: number;
  outsideFairShare: number;
}

/** A model and the values that the division in view has in it. */
export interface Started {
  model: IntegerModel;
  start: ReadonlyMap<string, number>;
}

/** The best wishes within the room to differ (RoomToDiffer), which is described by bounds alone. */
export function wishesModel(division: Division, values: WishValues): Started {
  const { holding, room } = division;
  const writing = begin(holding, room.mayTake);
  addContainers(writing, false);
  unitTerms(writing).forEach((terms, h) => {
    const [least, most] = room.units[h] ?? [0, 0];
    if (terms.length > 0) writing.model.between(`units ${padded(h)}`, terms, least, most);
  });
  addWishes(writing, division, values, true);
  return { model: writing.model.build(), start: writing.start };
}

/** What a household's containers make in units. */
function unitTerms({ holding, mayTake }: Writing): Term[][] {
  const terms: Term[][] = holding.problem.households.map(() => []);
  eachVariable(holding, mayTake, (h, l, name) => {
    const size = holding.size[l] ?? 0;
    if (size > 0) terms[h]?.push([name, size]);
  });
  return terms;
}

/** As few containers as possible that nobody has. */
export function allottedModel(holding: Holding): Started {
  const writing = begin(holding, everything(holding));
  const spare = addContainers(writing, true);
  writing.model.seek('unallotted', 'least', spare);
  return { model: writing.model.build(), start: writing.start };
}

/**
 * The least sum of squared deviations, and after it the wishes, by an integer program over all divisions: for where no bound shows the nearest one.
 * Every household may be as far away as the division in view allows, and with attainable targets never as far as the largest container. With a
 * variety window the wishes are not among the stages, since they may then be met by other divisions too.
 */
export function nearestModel(division: Division, values: WishValues): Started & { scale: Scale } {
  const { holding, isAttainable } = division;
  const { households, lots, varietyWindow } = holding.problem;
  const writing = begin(holding, everything(holding));
  const { model, start } = writing;
  const isEaten = (l: number): boolean => households.some((_, h) => holding.eats(h, l));
  const left = holding.spare.reduce((total, count, l) => (isEaten(l) ? total + count : total), 0);
  const spare = addContainers(writing, left > 0);
  if (left > 0) model.equals('unallotted', spare, left);
  const within = (h: number): readonly [number, number] | undefined =>
    isAttainable ? holding.unitsWithin(h, guaranteed(holding)) : undefined;
  const scale = addSquares(model, holding, unitTerms(writing), within, start);
  if (isZero(varietyWindow) && lots.length > 0) addWishes(writing, division, values, false);
  return { model: model.build(), start, scale };
}
