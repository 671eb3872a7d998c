// The types of the API's answers for the web, written from its OpenAPI document.
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import openapiTypescript, { astToString } from 'openapi-typescript';
import { root } from './workspace.mjs';

/**
 * Parameters in headers are left out: the web's client adds them by itself (Idempotency-Key) or beside the call (If-Match), and every call would have to
 * name them otherwise.
 * @param {string} from the document @param {string} to
 */
export async function writeApiTypes(from, to) {
  const document = JSON.parse(await readFile(join(root, from), 'utf8'));
  for (const item of Object.values(document.paths)) {
    for (const operation of Object.values(/** @type {Record<string, any>} */ (item))) {
      operation.parameters = operation.parameters?.filter((/** @type {any} */ parameter) => parameter.in !== 'header');
    }
  }
  await writeFile(join(root, to), astToString(await openapiTypescript(document)));
  return { code: 0, output: '' };
}
