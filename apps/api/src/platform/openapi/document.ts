import type { INestApplication } from '@nestjs/common';
import { DocumentBuilder, SwaggerModule, type OpenAPIObject } from '@nestjs/swagger';
import type { DomainErrorCode } from '@frostmoot/calc';
import { problem } from '@frostmoot/contract';
import { DOCUMENT_PUBLIC } from '../auth/decorators.ts';
import { DOCUMENT_NOTES, type DocumentNotes } from '../http/operation.ts';
import { statuses } from '../http/statuses.ts';
import { MAY_BE_MISSING, SchemaCollection } from './schemas.ts';

const WRITES = ['post', 'put', 'patch', 'delete'] as const;
const METHODS = ['get', ...WRITES] as const;
type PathItem = OpenAPIObject['paths'][string];
type OperationObject = NonNullable<PathItem['get']>;

/** The OpenAPI 3.1 document of every operation, completed with what holds for all of their kind. */
export function buildDocument(app: INestApplication): OpenAPIObject {
  const settings = new DocumentBuilder()
    .setOpenAPIVersion('3.1.0')
    .setTitle('Frostmoot')
    .setDescription(
      'Every write takes an Idempotency-Key; every change names its ETag in If-Match; every refusal is a problem document (RFC 9457) with a stable code.',
    )
    .setVersion('0.1.0')
    .setLicense('MIT', 'https://spdx.org/licenses/MIT.html')
    .addServer('/')
    .addCookieAuth('frostmoot', { type: 'apiKey', in: 'cookie', name: 'frostmoot' }, 'session')
    .build();
  const schemas = new SchemaCollection();
  const document = SwaggerModule.createDocument(app, settings, {
    standardSchemaConverter: schemas.convert,
    autoTagControllers: false,
  });
  schemas.convert(problem, { schemaType: 'output' });
  for (const [path, item] of Object.entries(document.paths)) {
    for (const method of METHODS) {
      const operation = item[method];
      if (operation) complete(path, method, operation);
    }
  }
  document.components = {
    ...document.components,
    schemas: sorted({ ...document.components?.schemas, ...schemas.components }),
  };
  document.paths = sorted(document.paths);
  return document;
}

function complete(path: string, method: (typeof METHODS)[number], operation: OperationObject): void {
  const noted = operation as unknown as Record<string, unknown>;
  const notes = noted[DOCUMENT_NOTES] as DocumentNotes | undefined;
  const open = noted[DOCUMENT_PUBLIC] === true;
  for (const name of [DOCUMENT_NOTES, DOCUMENT_PUBLIC]) delete noted[name];
  if (!notes) throw new Error(`${method} ${path} has no @Operation`);
  const write = method !== 'get';
  const keyed = write && !notes.keyless;
  operation.tags ??= [
    path.split('/').filter((part) => !part.startsWith('{'))[path.includes('{cooperativeId}/') ? 3 : 2] ?? 'api',
  ];
  if (!open) operation.security = [{ session: [] }];
  operation.parameters = [...pathParameters(path, operation), ...(operation.parameters ?? [])];
  for (const parameter of operation.parameters) markOptional(parameter);
  if (keyed) {
    operation.parameters = [
      ...(operation.parameters ?? []),
      {
        name: 'Idempotency-Key',
        in: 'header',
        required: true,
        description: 'The same key and request get the same answer again and have their effect once',
        schema: { type: 'string', minLength: 8, maxLength: 128 },
      },
    ];
  }
  const conditional = (operation.parameters ?? []).some(
    (parameter) => 'name' in parameter && parameter.name === 'If-Match',
  );
  addProblems(operation, [
    ...notes.errors,
    'invalid-input',
    ...(write ? (['not-json', 'forbidden', 'too-large'] as const) : []),
    ...(open ? [] : (['not-signed-in'] as const)),
    ...(path.includes('{') ? (['not-found'] as const) : []),
    ...(keyed
      ? (['idempotency-key-missing', 'idempotency-key-reused', 'idempotency-key-in-use', 'unavailable'] as const)
      : []),
    ...(conditional ? (['precondition-required', 'precondition-failed'] as const) : []),
  ]);
}

function markOptional(parameter: NonNullable<OperationObject['parameters']>[number]): void {
  if (!('schema' in parameter) || !parameter.schema || !(MAY_BE_MISSING in parameter.schema)) return;
  delete parameter.schema[MAY_BE_MISSING];
  parameter.required = false;
}

/** Those that a handler does not name, because the guard has read them. */
function pathParameters(path: string, operation: OperationObject): NonNullable<OperationObject['parameters']> {
  const named = new Set(
    (operation.parameters ?? []).flatMap((parameter) => ('name' in parameter ? [parameter.name] : [])),
  );
  return [...path.matchAll(/\{(\w+)\}/g)]
    .map(([, name]) => name ?? '')
    .filter((name) => !named.has(name))
    .map((name) => ({ name, in: 'path', required: true, schema: { type: 'string', format: 'uuid' } }));
}

function addProblems(operation: OperationObject, codes: readonly DomainErrorCode[]): void {
  const byStatus = new Map<number, Set<string>>();
  for (const code of codes) {
    const status = statuses[code];
    byStatus.set(status, (byStatus.get(status) ?? new Set()).add(code));
  }
  for (const [status, names] of [...byStatus].sort(([a], [b]) => a - b)) {
    operation.responses[String(status)] = {
      description: [...names].sort().join(', '),
      content: { 'application/problem+json': { schema: { $ref: '#/components/schemas/Problem' } } },
    };
  }
  operation.responses['default'] = {
    description: 'Anything else that went wrong',
    content: { 'application/problem+json': { schema: { $ref: '#/components/schemas/Problem' } } },
  };
}

function sorted<T>(record: Record<string, T>): Record<string, T> {
  return Object.fromEntries(Object.entries(record).sort(([a], [b]) => (a < b ? -1 : 1)));
}
