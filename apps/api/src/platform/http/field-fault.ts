/** What a schema says of a value that it refuses, as far as it is read here (zod's issue formats). */
interface SchemaIssue {
  code?: string;
  origin?: string;
  minimum?: unknown;
  maximum?: unknown;
  format?: string;
  input?: unknown;
}

export interface FieldFault {
  code: string;
  params?: Record<string, string | number>;
}

type Bounded = 'string' | 'array' | 'number';
const boundedAs: Record<string, Bounded> = {
  string: 'string',
  array: 'array',
  set: 'array',
  number: 'number',
  int: 'number',
};
const belowCodes: Record<Bounded, string> = { string: 'too-short', array: 'too-few', number: 'too-low' };
const aboveCodes: Record<Bounded, string> = { string: 'too-long', array: 'too-many', number: 'too-high' };
const formatCodes: Record<string, string> = {
  date: 'not-a-date',
  datetime: 'not-a-time',
  email: 'not-an-email',
  uuid: 'not-an-id',
};

/** Why a field is refused, as a code that screens have words for in every language, with the limit where there is one. */
export function fieldFault(issue: SchemaIssue & object, isMissing: boolean): FieldFault {
  if (isMissing) return { code: 'missing' };
  const kind = boundedAs[issue.origin ?? ''];
  if (kind && issue.code === 'too_small' && isLimit(issue.minimum)) {
    if (kind === 'string' && issue.minimum === 1) return { code: 'missing' };
    return { code: belowCodes[kind], params: { least: issue.minimum } };
  }
  if (kind && issue.code === 'too_big' && isLimit(issue.maximum)) {
    return { code: aboveCodes[kind], params: { most: issue.maximum } };
  }
  if (issue.code === 'invalid_format') return { code: formatCodes[issue.format ?? ''] ?? 'not-readable' };
  if (issue.code === 'invalid_value') return { code: 'not-a-choice' };
  if (issue.code === 'unrecognized_keys') return { code: 'unknown-field' };
  return { code: 'not-readable' };
}

/** A limit of the size of a number type (2^53) says nothing to a person. */
const isLimit = (value: unknown): value is number => typeof value === 'number' && Math.abs(value) < 1e12;
