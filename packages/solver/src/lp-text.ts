import type { IntegerModel, Row, Terms } from '@frostmoot/calc';
import { modelFaults, SolverError } from '@frostmoot/calc';

/** Lines of an LP file stay short: some readers give up at 255 characters. */
const termsPerLine = 8;

function written(terms: Terms, nameOf: ReadonlyMap<string, string>, none: string): string {
  const sums = new Map<string, number>();
  for (const [variable, coefficient] of terms) sums.set(variable, (sums.get(variable) ?? 0) + coefficient);
  const parts = [...sums]
    .filter(([, value]) => value !== 0)
    .map(([variable, value]) => `${value < 0 ? '-' : '+'} ${Math.abs(value)} ${nameOf.get(variable)}`);
  if (parts.length === 0) return `0 ${none}`;
  const lines: string[] = [];
  for (let i = 0; i < parts.length; i += termsPerLine) lines.push(parts.slice(i, i + termsPerLine).join(' '));
  return lines.join('\n    ');
}

/**
 * One stage of a model as text in the LP format that most solvers read, with the optima of earlier stages kept as rows. Only whole numbers are
 * written, so nothing is lost. Variables are called v0, v1, ... in their order, because names may contain what the format does not allow.
 * `stage`: its number, from 0; `reached`: the optimum of each stage before it. Throws SolverError `solver-refused` for an unsound model.
 */
export function lpText(model: IntegerModel, stage = 0, reached: readonly number[] = []): string {
  const faults = modelFaults(model);
  if (faults.length > 0) throw new SolverError('solver-refused', faults.slice(0, 3).join(' '));
  const nameOf = new Map(model.variables.map(({ name }, i) => [name, `v${i}`]));
  const aim = model.stages[stage];
  const kept: Row[] = model.stages.slice(0, stage).map(({ name, seek, terms }, i) => ({
    name,
    terms,
    ...(seek === 'least' ? { most: reached[i] ?? 0 } : { least: reached[i] ?? 0 }),
  }));
  const lines = [
    aim?.seek === 'most' ? 'Maximize' : 'Minimize',
    ` aim: ${written(aim?.terms ?? [], nameOf, 'v0')}`,
    'Subject To',
  ];
  [...model.rows, ...kept].forEach(({ terms, least, most }, i) => {
    const sum = written(terms, nameOf, 'v0');
    if (least !== undefined && least === most) lines.push(` r${i}: ${sum} = ${most}`);
    else {
      if (least !== undefined) lines.push(` r${i}l: ${sum} >= ${least}`);
      if (most !== undefined) lines.push(` r${i}m: ${sum} <= ${most}`);
    }
  });
  lines.push('Bounds');
  model.variables.forEach(({ least, most }, i) => lines.push(` ${least} <= v${i} <= ${most}`));
  lines.push('Generals');
  model.variables.forEach(({ wholeByStructure }, i) => {
    if (!wholeByStructure) lines.push(` v${i}`);
  });
  lines.push('End', '');
  return lines.join('\n');
}
