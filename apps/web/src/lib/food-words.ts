import {
  allUnits,
  findUnit,
  inKitchenMeasures,
  measuresNames,
  rational,
  type Measures,
  type Rational,
  type Unit,
} from '@frostmoot/calc';
import { findMessage } from './messages/catalogue.ts';
import type { MessageKey } from './messages/areas.ts';
import { useFormats, type Formats } from './formats.ts';
import { useLocale, type Translate } from './locale.tsx';
import { useCooperativeOrNull } from './session.tsx';

type IntlUnit = Parameters<Formats['unit']>[1];

/** Units that the reader's language writes by itself; the others have their words in the area "food". */
const WRITTEN_BY_LOCALE: Record<string, IntlUnit> = {
  g: 'gram',
  kg: 'kilogram',
  mL: 'milliliter',
  L: 'liter',
  lb: 'pound',
  oz: 'ounce',
};
/** From a thousand on, cooks say kilograms and litres. Common practice, no source. */
const WIDER: Record<string, { unit: string; from: Rational }> = {
  g: { unit: 'kg', from: rational.rational(1000n) },
  mL: { unit: 'L', from: rational.rational(1000n) },
};
const GLYPHS: Record<string, string> = { '1/4': '¼', '1/2': '½', '3/4': '¾', '1/3': '⅓', '2/3': '⅔' };

const isMeasures = (name: string): name is Measures => (measuresNames as readonly string[]).includes(name);

/** 11/2 as 5½; a part that has no sign of its own is written as a decimal. */
function figure(amount: Rational, formats: Formats): string {
  const whole = rational.floor(amount);
  const part = rational.sub(amount, rational.rational(whole));
  const glyph = GLYPHS[rational.format(part)];
  if (!glyph) return formats.quantity(amount);
  return whole === 0n ? glyph : formats.number(whole) + glyph;
}

function sayUnit(
  amount: Rational,
  unit: string,
  t: Translate,
  has: (key: string) => boolean,
  formats: Formats,
): string {
  const intl = WRITTEN_BY_LOCALE[unit];
  if (intl) return formats.unit(amount, intl, { least: 0, most: unit === 'kg' || unit === 'L' ? 3 : 1 });
  // A measure of another set than the cooperative's carries the set's name: metric-cup.
  const key = `food.unit.${unit.replace(/^(us-label|us|imperial|metric|au)-/, '')}`;
  if (!has(key)) return `${figure(amount, formats)} ${unit}`;
  return t(key as MessageKey, { n: Number(rational.toDecimal(amount, 3)), amount: figure(amount, formats) });
}

function sayAmount(
  quantity: Rational,
  unit: Unit,
  measures: Measures,
  say: (amount: Rational, unit: string) => string,
): string {
  const terms = inKitchenMeasures(quantity, unit, measures);
  if (terms && terms.length > 0) return terms.map((term) => say(term.amount, term.unit.id)).join(' ');
  const wider = WIDER[unit.id];
  const inWider = wider && findUnit(wider.unit, measures);
  if (wider && inWider && rational.cmp(quantity, wider.from) >= 0)
    return say(rational.div(quantity, inWider.inBase), wider.unit);
  return say(quantity, unit.id);
}

/** Words for what is eaten: allergens, diets, and amounts as a cook measures them. Pages that use it list the area "food" at their route. */
export function useFoodWords() {
  const { t, language } = useLocale();
  const formats = useFormats();
  const system = useCooperativeOrNull()?.unitSystem ?? 'metric';
  const measures = isMeasures(system) ? system : 'metric';
  const has = (key: string) => findMessage(language, key) !== undefined;
  const word = (prefix: 'food.subject' | 'food.tag' | 'food.unitName', id: string): string =>
    has(`${prefix}.${id}`) ? t(`${prefix}.${id}` as MessageKey) : id.replace(/^other:/, '');
  const say = (amount: Rational, unit: string) => sayUnit(amount, unit, t, has, formats);
  const subject = (id: string) => word('food.subject', id);
  return {
    measures,
    /** An allergen or diet: "milk" is Milk, "other:kiwi" is kiwi. */
    subject,
    tag: (id: string) => word('food.tag', id),
    unitName: (id: string) => word('food.unitName', id),
    /** "Milk, Wheat", or "None declared" with the caution elsewhere on the page. */
    allergens: (ids: readonly string[]) =>
      ids.length === 0 ? t('food.free') : ids.map(subject).join(language === 'ar' ? '، ' : ', '),
    /** "1.3 kg", "2½ cups", "4 lb 5½ oz": rounded to what can be measured. */
    amount: (quantity: string, unitId: string): string => {
      const unit = findUnit(unitId, measures);
      const exact = rational.parse(quantity);
      return unit ? sayAmount(exact, unit, measures, say) : `${formats.quantity(exact)} ${unitId}`;
    },
    /** The same without rounding to what a kitchen can measure. */
    exactAmount: (quantity: string, unitId: string): string => say(rational.parse(quantity), unitId),
  };
}

/** Unit ids that may be chosen for a quantity, those of the cooperative's measures; nobody cooks by the cubic foot. */
export function unitChoices(measures: Measures): string[] {
  const usable = allUnits.filter((unit) => unit.measures === undefined || unit.measures === measures);
  return [...new Set(usable.map(({ id }) => id).filter((id) => !id.includes('-') && id !== 'ft3'))];
}
