import { Injectable, type ArgumentMetadata, type PipeTransform } from '@nestjs/common';
import { DomainError, type InputFault } from '@frostmoot/calc';
import { fieldFault } from './field-fault.ts';

type Schema = NonNullable<ArgumentMetadata['schema']>;
type Issue = NonNullable<Awaited<ReturnType<Schema['~standard']['validate']>>['issues']>[number];

/** A path into the input as a JSON pointer in a URI fragment (RFC 6901, section 6). */
export function pointerTo(path: readonly PropertyKey[]): string {
  const segments = path.map((segment) => String(segment).replaceAll('~', '~0').replaceAll('/', '~1'));
  return ['#', ...segments.map(encodeURIComponent)].join('/');
}

function fault(issue: Issue, value: unknown, from: readonly PropertyKey[]): InputFault {
  const path = (issue.path ?? []).map((segment) => (typeof segment === 'object' ? segment.key : segment));
  const isMissing = path.length > 0 && at(value, path) === undefined;
  return { pointer: pointerTo([...from, ...path]), detail: issue.message, ...fieldFault(issue, isMissing) };
}

/** What the input has at a path; undefined where it has nothing. */
const at = (value: unknown, path: readonly PropertyKey[]): unknown =>
  path.reduce<unknown>(
    (part, key) =>
      typeof part === 'object' && part !== null ? (part as Record<PropertyKey, unknown>)[key] : undefined,
    value,
  );

const MOST_FAULTS = 50;

/** Where a text holds what the database cannot keep: the nil character, or half of a character pair (RFC 8259, section 8.2). */
function unkept(value: unknown, path: readonly PropertyKey[]): Issue[] {
  if (typeof value === 'string') {
    const message = 'Must not contain the nil character or half of a character';
    return value.includes('\0') || /\p{Surrogate}/u.test(value) ? [{ path, message }] : [];
  }
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([name, member]) => unkept(member, [...path, name]));
}

/** Parses body, path and query by the schema given at the parameter; refuses with a pointer to each field. A path or query name stands first in its pointer. */
@Injectable()
export class InputPipe implements PipeTransform {
  async transform(value: unknown, metadata: ArgumentMetadata): Promise<unknown> {
    if (!metadata.schema || metadata.type === 'custom') return value;
    const result = await metadata.schema['~standard'].validate(value);
    const issues = result.issues ?? unkept(result.value, []);
    if (!result.issues && issues.length === 0) return result.value;
    const from = metadata.type === 'body' || metadata.data === undefined ? [] : [metadata.data];
    // A path that names no possible thing names nothing.
    if (metadata.type === 'param') throw new DomainError('not-found', 'There is nothing here');
    throw new DomainError('invalid-input', 'Some of the input cannot be used', {
      errors: issues.slice(0, MOST_FAULTS).map((issue) => fault(issue, value, from)),
    });
  }
}
