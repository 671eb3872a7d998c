import { assembleApp } from './create-app.ts';
import { readConfig } from './platform/config/config.ts';
import { OpenApiSource } from './platform/openapi/openapi-source.ts';

// Prints the OpenAPI document. Nothing is started, so the address of the database is never used.
const config = readConfig({ DATABASE_URL: 'postgresql://nowhere.invalid/none', LOG_LEVEL: 'error' });
const app = await assembleApp(config);
process.stdout.write(`${JSON.stringify(app.get(OpenApiSource).document(), null, 2)}\n`);
await app.close();
