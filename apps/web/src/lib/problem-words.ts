import { domainErrorCodes, type DomainErrorCode } from '@frostmoot/calc';
import { isProblem } from './api/client.ts';
import type { ApiProblem } from './api/problem.ts';
import { findMessage } from './messages/catalogue.ts';
import { useFormats, type Formats } from './formats.ts';
import { useLocale, type Translate } from './locale.tsx';
import type { MessageKey } from './messages/areas.ts';
import type { MessageValues } from './messages/format-message.ts';

export interface ProblemWords {
  title: string;
  detail: string;
}

/** Every reason of the domain has its words: a title `problems.<code>` and what to do, `problems.<code>.detail`. */
type CodesWithoutWords = Exclude<`problems.${DomainErrorCode}`, MessageKey>;
const everyCodeHasWords: [CodesWithoutWords] extends [never] ? true : CodesWithoutWords = true;
void everyCodeHasWords;

const isKnown = (code: string): code is DomainErrorCode => (domainErrorCodes as readonly string[]).includes(code);

/** Instants of a refusal that may lie on another day, so that the day is said, and the zone where the viewer's differs. */
const INSTANTS = new Set(['opensAt', 'closesAt', 'closedAt', 'until']);

function valuesOf(params: Readonly<Record<string, unknown>>, formats: Formats): MessageValues {
  const values: MessageValues = { holder: '', at: '', number: '' };
  for (const [name, value] of Object.entries(params)) {
    if (typeof value === 'number') values[name] = value;
    else if (name === 'at' && typeof value === 'string') values[name] = formats.time(value);
    else if (INSTANTS.has(name)) values[name] = formats.dayTimeZone(String(value));
    else values[name] = String(value);
  }
  return values;
}

function problemWords(
  problem: ApiProblem,
  t: Translate,
  has: (key: string) => boolean,
  formats: Formats,
): ProblemWords {
  const base = isKnown(problem.code) || problem.code === 'unreachable' ? problem.code : 'unknown';
  const values = valuesOf(problem.params, formats);
  const withHolder = values.holder ? `problems.${base}.holder` : '';
  const titleKey = withHolder && has(withHolder) ? withHolder : `problems.${base}`;
  const detailKey = `problems.${base}.detail`;
  return {
    title: t(titleKey as MessageKey, values),
    // The server's own sentence is English; it is shown only where there are no words of our own.
    detail: has(detailKey) ? t(detailKey as MessageKey, values) : problem.detail,
  };
}

/** Turns whatever was thrown into words: `const words = useProblemWords(); words(error).title`. */
export function useProblemWords(): (error: unknown) => ProblemWords {
  const { t, language } = useLocale();
  const formats = useFormats();
  return (error) => {
    if (!isProblem(error)) return { title: t('problems.unknown'), detail: t('problems.unknown.detail') };
    return problemWords(error, t, (key) => findMessage(language, key) !== undefined, formats);
  };
}
