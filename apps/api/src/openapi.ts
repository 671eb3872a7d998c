import { writeFile } from 'node:fs/promises';
import { assembleApp } from './create-app.ts';
import { readConfig } from './platform/config/config.ts';
import { OpenApiSource } from './platform/openapi/openapi-source.ts';

// Prints the OpenAPI document, or writes it to the file that is named. Nothing is started, so the address of the database is never used.
const config = readConfig({ DATABASE_URL: 'postgresql://nowhere.invalid/none', LOG_LEVEL: 'error' });
const app = await assembleApp(config);
const text = `${JSON.stringify(app.get(OpenApiSource).document(), null, 2)}\n`;
const [file] = process.argv.slice(2);
if (file === undefined) process.stdout.write(text);
else await writeFile(file, text);
await app.close();
