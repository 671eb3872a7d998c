import type { Schemas } from './api/schemas.ts';
import type { FieldProblem } from './api/problem.ts';
import { useFormats } from './formats.ts';
import { useT } from './locale.tsx';

type Kind = Schemas['RotaLimit']['kind'];
const KINDS: readonly Kind[] = ['least', 'most', 'kept', 'gap', 'away', 'skill', 'pots'];

/** Sentences for what the turns of a rota do not keep: who, when, what. */
export function useLimitWords() {
  const t = useT();
  const formats = useFormats();
  const sentence = (kind: Kind, week: string, household: string, dish: string, cooks: number): string =>
    t(`problems.limit.${kind}`, { week: formats.day(week, 'short'), household, dish, cooks });
  return {
    ofLimit: ({ kind, weekOf, household, dish, cooks }: Schemas['RotaLimit']): string =>
      sentence(kind, weekOf, household?.name ?? '', dish?.name ?? '', cooks ?? 0),
    /** As it was asked for, where it cannot be had together with others. */
    asAsked: ({ kind, weekOf, household, dish, cooks }: Schemas['RotaLimit']): string =>
      t(`problems.asked.${kind}`, {
        week: formats.day(weekOf, 'short'),
        household: household?.name ?? '',
        dish: dish?.name ?? '',
        cooks: cooks ?? 0,
      }),
    /** Of a refusal that names limits; null for any other fault. */
    ofFault: ({ code, params }: FieldProblem): string | null => {
      const kind = KINDS.find((each) => code === `limit-${each}`);
      if (!kind) return null;
      const text = (name: string): string => String(params?.[name] ?? '');
      return sentence(kind, text('week'), text('household'), text('dish'), Number(params?.['cooks'] ?? 0));
    },
  };
}
