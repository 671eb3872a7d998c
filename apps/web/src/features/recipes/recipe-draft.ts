import { rational } from '@frostmoot/calc';
import type { Schemas } from '../../lib/api/schemas.ts';

export type Recipe = Schemas['Recipe'];
export type RecipeVersion = Schemas['RecipeVersion'];
type SaveVersion = Schemas['SaveRecipeVersion'];

/** A line as typed: `part` is `ingredient:<id>` or `component:<version id>`, empty while nothing is chosen. */
export interface LineDraft {
  part: string;
  quantity: string | null;
  unit: string;
  /** The share that is left after trimming, in per cent; empty: all of it. */
  ediblePercent: string | null;
  note: string;
}

type Step = RecipeVersion['steps'][number];

/** A step as typed; `after` names drafts by their `id`, so that moving one up or down changes nothing in it. */
export interface StepDraft {
  id: string;
  words: string;
  activeMinutes: string | null;
  passiveMinutes: string | null;
  place: Step['place'];
  hands: string | null;
  potLitres: string | null;
  /** null: the step before it */
  after: string[] | null;
  base: boolean;
  thawKilograms: string | null;
}

export interface ContainerDraft {
  portions: string | null;
  count: string | null;
  millilitres: string | null;
}

export interface RecipeDraft {
  name: string;
  makesQuantity: string | null;
  makesUnit: string;
  /** Only ever a component: gives no portions of its own. */
  isComponentOnly: boolean;
  portions: string | null;
  containers: ContainerDraft[];
  months: string | null;
  monthsSource: string;
  potLitres: string | null;
  notes: string;
  lines: LineDraft[];
  steps: StepDraft[];
}

export const emptyLine = (): LineDraft => ({ part: '', quantity: null, unit: 'g', ediblePercent: null, note: '' });
let lastStepId = 0;
const newStepId = (): string => `step-${(lastStepId += 1)}`;

export const emptyStep = (): StepDraft => ({
  id: newStepId(),
  words: '',
  activeMinutes: '0',
  passiveMinutes: '0',
  place: 'table',
  hands: '1',
  potLitres: null,
  after: null,
  base: false,
  thawKilograms: null,
});

function stepDrafts(steps: readonly Step[]): StepDraft[] {
  const ids = steps.map(newStepId);
  return steps.map((step, index) => ({
    ...step,
    id: ids[index] ?? '',
    activeMinutes: String(step.activeMinutes),
    passiveMinutes: String(step.passiveMinutes),
    hands: String(step.hands),
    after: step.after && step.after.flatMap((earlier) => ids[earlier] ?? []),
  }));
}
export const emptyContainer = (): ContainerDraft => ({ portions: null, count: null, millilitres: null });

export const emptyRecipe = (): RecipeDraft => ({
  name: '',
  makesQuantity: null,
  makesUnit: 'g',
  isComponentOnly: false,
  portions: null,
  containers: [emptyContainer()],
  months: '3',
  monthsSource: '',
  potLitres: null,
  notes: '',
  lines: [emptyLine()],
  steps: [emptyStep()],
});

const HUNDRED = rational.rational(100n);
const shortest = (decimal: string): string => (decimal.includes('.') ? decimal.replace(/\.?0+$/, '') : decimal);

/** "0.885" is 88.5 per cent. */
export const percentOf = (share: string): string =>
  shortest(rational.toDecimal(rational.mul(rational.parse(share), HUNDRED), 4));

/** 88.5 per cent is "0.885". */
export const shareOf = (percent: string): string =>
  shortest(rational.toDecimal(rational.div(rational.parse(percent), HUNDRED), 6));

/** A version as a draft to change. A fraction that was given as one is kept as it is where no field shows it. */
export function draftOf({ name, current }: Recipe): RecipeDraft {
  return {
    name,
    makesQuantity: current.makes.quantity,
    makesUnit: current.makes.unit,
    isComponentOnly: current.portions === null,
    portions: current.portions === null ? null : String(current.portions),
    containers: current.containerPlan.map(({ portions, count, millilitres }) => ({
      portions: String(portions),
      count: String(count),
      millilitres: millilitres === null ? null : String(millilitres),
    })),
    months: String(current.months),
    monthsSource: current.monthsSource,
    potLitres: current.potLitres,
    notes: current.notes,
    lines: current.lines.map((line) => ({
      part: line.ingredient ? `ingredient:${line.ingredient.id}` : `component:${line.component?.versionId ?? ''}`,
      quantity: line.quantity,
      unit: line.unit,
      ediblePercent: line.edibleYield === null ? null : percentOf(line.edibleYield),
      note: line.note,
    })),
    steps: stepDrafts(current.steps),
  };
}

const whole = (text: string | null): number => Number(text ?? '0');

/** The containers of the draft that hold anything. */
const filledContainers = (draft: RecipeDraft) =>
  draft.containers.filter(({ portions, count }) => portions !== null && count !== null);

/** Portions that the draft's containers hold together. */
export const containersHold = (draft: RecipeDraft): number =>
  filledContainers(draft).reduce((total, { portions, count }) => total + whole(portions) * whole(count), 0);

/** Steps with words; one waits only for steps that still stand before it. */
function sentSteps(drafts: readonly StepDraft[]): SaveVersion['steps'] {
  const steps = drafts.filter(({ words }) => words.trim() !== '');
  const places = new Map(steps.map(({ id }, index) => [id, index]));
  return steps.map(({ id: _, ...step }, index) => ({
    ...step,
    activeMinutes: whole(step.activeMinutes),
    passiveMinutes: whole(step.passiveMinutes),
    hands: whole(step.hands),
    after: step.after && step.after.flatMap((id) => places.get(id) ?? []).filter((earlier) => earlier < index),
  }));
}

/** What is sent; empty lines and steps are left out. */
export function versionOf(draft: RecipeDraft): SaveVersion {
  const lines = draft.lines.map((line) => {
    const [kind, id = ''] = line.part.split(':');
    return {
      ingredientId: kind === 'ingredient' ? id : null,
      componentVersionId: kind === 'component' ? id : null,
      quantity: line.quantity ?? '0',
      unit: line.unit,
      edibleYield: line.ediblePercent === null || line.ediblePercent === '100' ? null : shareOf(line.ediblePercent),
      note: line.note,
    };
  });
  return {
    makes: { quantity: draft.makesQuantity ?? '0', unit: draft.makesUnit },
    portions: draft.isComponentOnly ? null : whole(draft.portions),
    containerPlan: draft.isComponentOnly
      ? []
      : filledContainers(draft).map(({ portions, count, millilitres }) => ({
          portions: whole(portions),
          count: whole(count),
          millilitres: millilitres === null ? null : whole(millilitres),
        })),
    months: whole(draft.months),
    monthsSource: draft.monthsSource,
    potLitres: draft.potLitres,
    notes: draft.notes,
    lines,
    steps: sentSteps(draft.steps),
  };
}

/** Puts an item one place up or down. */
export function moved<T>(items: readonly T[], index: number, by: -1 | 1): T[] {
  const to = index + by;
  if (to < 0 || to >= items.length) return [...items];
  const rest = items.filter((_, each) => each !== index);
  return [...rest.slice(0, to), items[index] as T, ...rest.slice(to)];
}
