import type { OpenAPIObject } from '@nestjs/swagger';

const escapes: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };

function escape(text: unknown): string {
  return String(text ?? '').replace(/[&<>"']/g, (character) => escapes[character] ?? character);
}

interface Shown {
  operationId?: string;
  summary?: string;
  parameters?: { name?: string; in?: string; required?: boolean; description?: string }[];
  requestBody?: { content?: Record<string, { schema?: Schema }> };
  responses?: Record<string, { description?: string; content?: Record<string, { schema?: Schema }> }>;
}
interface Schema {
  $ref?: string;
}

function schemaLink(content: Record<string, { schema?: Schema }> | undefined): string {
  const name = Object.values(content ?? {})[0]
    ?.schema?.$ref?.split('/')
    .at(-1);
  return name === undefined ? '' : `<a href="#schema-${escape(name)}">${escape(name)}</a>`;
}

function operationSection(path: string, method: string, operation: Shown): string {
  const parameters = (operation.parameters ?? []).map(
    (parameter) =>
      `<tr><th scope="row">${escape(parameter.name)}</th><td>${escape(parameter.in)}</td><td>${parameter.required ? 'required' : ''}</td><td>${escape(parameter.description)}</td></tr>`,
  );
  const answers = Object.entries(operation.responses ?? {}).map(
    ([status, answer]) =>
      `<tr><th scope="row">${escape(status)}</th><td>${escape(answer.description)}</td><td>${schemaLink(answer.content)}</td></tr>`,
  );
  const body = operation.requestBody ? `<p>Body: ${schemaLink(operation.requestBody.content)}</p>` : '';
  return `<section id="${escape(operation.operationId)}"><h3><code>${method.toUpperCase()} ${escape(path)}</code></h3>
<p>${escape(operation.operationId)}${operation.summary ? `: ${escape(operation.summary)}` : ''}</p>${body}
${parameters.length > 0 ? `<table><caption>Parameters</caption>${parameters.join('')}</table>` : ''}
<table><caption>Answers</caption>${answers.join('')}</table></section>`;
}

/** The document as one page to read, without scripts. */
export function readingPage(document: OpenAPIObject): string {
  const operations = Object.entries(document.paths).flatMap(([path, item]) =>
    Object.entries(item).map(([method, operation]) => ({ path, method, operation: operation as Shown })),
  );
  const schemas = Object.entries(document.components?.schemas ?? {}).map(
    ([name, schema]) =>
      `<section id="schema-${escape(name)}"><h3>${escape(name)}</h3><pre tabindex="0">${escape(JSON.stringify(schema, null, 2))}</pre></section>`,
  );
  const contents = operations.map(
    ({ path, method, operation }) =>
      `<li><a href="#${escape(operation.operationId)}"><code>${method.toUpperCase()} ${escape(path)}</code></a></li>`,
  );
  return `<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>Frostmoot API</title><link rel="stylesheet" href="/api/docs.css"></head><body><main><h1>Frostmoot API</h1>
<p>${escape(document.info.description)} The same as data: <a href="/api/openapi.json">openapi.json</a>.</p>
<nav aria-label="Operations"><ul>${contents.join('')}</ul></nav>
<h2>Operations</h2>${operations.map(({ path, method, operation }) => operationSection(path, method, operation)).join('')}
<h2>Schemas</h2>${schemas.join('')}</main></body></html>`;
}

export const readingPageStyle = `
:root { color-scheme: light dark; font: 1rem/1.5 system-ui, sans-serif; }
main { max-width: 60rem; margin-inline: auto; padding: 1rem; }
section { border-block-start: 1px solid; padding-block: 0.5rem; }
h3, code { overflow-wrap: anywhere; }
table { border-collapse: collapse; inline-size: 100%; margin-block: 0.5rem; }
caption { text-align: start; font-weight: bold; }
th, td { text-align: start; vertical-align: top; padding: 0.25rem 0.75rem 0.25rem 0; border-block-end: 1px solid; }
pre { overflow: auto; }
`;
