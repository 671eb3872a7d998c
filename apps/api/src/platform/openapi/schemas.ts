import { z } from 'zod';

/** Marks the schema of a parameter that need not be sent; the document takes it out and says so in its own way. */
export const MAY_BE_MISSING = 'x-frostmoot-may-be-missing';

type Json = Record<string, unknown>;

/** Schemas of the document by name, collected while it is made; the same name for two different schemas is a mistake of ours. */
export class SchemaCollection {
  readonly components: Record<string, Json> = {};

  /** The converter that @nestjs/swagger asks for every schema of a parameter, body or answer. */
  readonly convert = (schema: unknown, { schemaType }: { schemaType: 'input' | 'output' }) => {
    const made = z.toJSONSchema(schema as z.ZodType, { target: 'draft-2020-12', io: schemaType }) as Json;
    const { $defs, $schema: _, ...root } = made;
    if (schemaType === 'input' && (schema as z.ZodType).safeParse(undefined).success) root[MAY_BE_MISSING] = true;
    for (const [name, definition] of Object.entries(($defs ?? {}) as Record<string, Json>)) this.add(name, definition);
    const name = root['id'];
    if (typeof name !== 'string') return { schema: clean(root) };
    this.add(name, root);
    return { schema: { $ref: `#/components/schemas/${name}` } };
  };

  private add(name: string, definition: Json): void {
    const cleaned = clean(definition) as Json;
    const present = this.components[name];
    if (present !== undefined && JSON.stringify(present) !== JSON.stringify(cleaned)) {
      throw new Error(`Two schemas are called ${name}; a schema with defaults must not be both sent and answered`);
    }
    this.components[name] = cleaned;
  }
}

/**
 * Points references into the document and leaves out what belongs to the converter. Objects stay open: an unknown member of a request is not used, and
 * an answer may get a further member without breaking who reads it.
 */
function clean(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(clean);
  if (typeof value !== 'object' || value === null) return value;
  const entries = Object.entries(value).filter(
    ([name, part]) => name !== '$schema' && !(name === 'additionalProperties' && part === false),
  );
  const cleaned = Object.fromEntries(entries.map(([name, part]) => [name, clean(part)]));
  if (typeof cleaned['$ref'] === 'string') {
    cleaned['$ref'] = cleaned['$ref'].replace('#/$defs/', '#/components/schemas/');
  }
  return cleaned;
}
