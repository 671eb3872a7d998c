import { Injectable } from '@nestjs/common';
import { IntlMessageFormat } from 'intl-messageformat';
import { Catalogue, LOCALES, type Language } from '../platform/words/catalogue.ts';
import type { Weight } from '../platform/print/fonts.ts';

/** What a label says of its container. */
export interface LabelFacts {
  code: string;
  dish: string;
  portions: number;
  frozenOn: string | null;
  bestBefore: string | null;
  allergens: readonly string[];
  notDeclared: readonly string[];
  household: string | null;
  /** what its QR code says */
  address: string;
}

/** A part of a label, its type so many times as large as the label's own, where there is room. */
export interface LabelPart {
  text: string;
  weight: Weight;
  times: number;
}

/** Every part in order; where room is short, `short` counts the undeclared ingredients that `full` names, and says the rule in fewer words. Allergens are in both. */
export interface LabelTexts {
  full: LabelPart[];
  short: LabelPart[];
}

/** Degrees Celsius below which frozen food keeps: 0 F, FoodSafety.gov, Cold Food Storage Chart (as syndicated, item 63). */
const FROZEN_CELSIUS = -18;
/** Degrees Celsius that every part reaches when it is heated again: 165 F for 15 seconds, FDA Food Code 2022, 3-403.11, as the words beside it say. */
const REHEATED_CELSIUS = 74;

/** A name in another script must not turn its neighbours round: first strong isolate, pop directional isolate (Unicode UAX #9). */
const isolated = (name: string): string => `\u2068${name}\u2069`;

/** The words of labels, out of the message catalogue that the screens use as well. */
@Injectable()
export class LabelWords {
  constructor(private readonly catalogue: Catalogue) {}

  /** What a label says, in order: the dish, how much and which, its dates, what it contains, for whom, and how to heat it again. */
  texts(facts: LabelFacts, language: Language): LabelTexts {
    const say = this.sayer(language);
    const { degrees, day, list } = formsOf(language);
    const { dish, code, notDeclared, household } = facts;
    const part = (text: string, times: number, weight: Weight = '700'): LabelPart => ({ text, weight, times });
    const { frozenOn, bestBefore } = facts;
    const dates = [
      ...(frozenOn === null ? [] : [say('labels.frozenOn', { date: day(frozenOn) })]),
      ...(bestBefore === null
        ? []
        : [say('labels.bestBefore', { date: day(bestBefore), cold: degrees(FROZEN_CELSIUS) })]),
    ];
    const hot = degrees(REHEATED_CELSIUS);
    const all = (when: LabelPart[], undeclared: string, cautions: LabelPart[]): LabelPart[] => [
      part(dish, 1.6),
      part(`${say('common.portions', { n: facts.portions })} · ${isolated(code)}`, 1.2),
      ...when,
      part(this.contains(facts.allergens, language), 1.15),
      ...(notDeclared.length === 0 ? [] : [part(undeclared, 1)]),
      ...(household === null ? [] : [part(say('labels.for', { household: isolated(household) }), 1)]),
      ...cautions,
    ];
    return {
      full: all(
        dates.map((text) => part(text, 1, '400')),
        say('food.notDeclared', { list: list(notDeclared.map(isolated)) }),
        [part(say('labels.notFree'), 0.8, '400'), part(say('labels.reheat', { hot }), 0.8, '400')],
      ),
      short: all(
        dates.length === 0 ? [] : [part(dates.join(' · '), 1, '400')],
        say('labels.notDeclaredCount', { n: notDeclared.length }),
        [part(`${say('labels.notFree')} ${say('labels.reheatShort', { hot })}`, 0.8, '400')],
      ),
    };
  }

  private contains(allergens: readonly string[], language: Language): string {
    const say = this.sayer(language);
    if (allergens.length === 0) return say('labels.noneDeclared');
    const words = allergens.map(
      (id) => this.catalogue.find(language, 'food', `subject.${id}`) ?? isolated(id.replace(/^other:/, '')),
    );
    return say('food.contains', { list: words.join(language === 'ar' ? '، ' : ', ') });
  }

  private sayer(language: Language) {
    return (key: string, values: Record<string, string | number> = {}): string => {
      const [area = '', ...name] = key.split('.');
      const text = this.catalogue.message(language, area, name.join('.'));
      return String(new IntlMessageFormat(text, LOCALES[language]).format(values));
    };
  }
}

function formsOf(language: Language) {
  const locale = LOCALES[language];
  const date = new Intl.DateTimeFormat(locale, { day: 'numeric', month: 'short', year: 'numeric', timeZone: 'UTC' });
  const celsius = new Intl.NumberFormat(locale, { style: 'unit', unit: 'celsius' });
  const names = new Intl.ListFormat(locale, { type: 'conjunction' });
  return {
    degrees: (value: number) => celsius.format(value),
    day: (iso: string) => date.format(new Date(`${iso}T00:00:00Z`)),
    list: (items: readonly string[]) => names.format(items),
  };
}
