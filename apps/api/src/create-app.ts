import 'reflect-metadata';
import cookie from '@fastify/cookie';
import { NestFactory } from '@nestjs/core';
import { LogController } from 'fastify';
import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import { AppModule } from './app.module.ts';
import type { Config } from './platform/config/config.ts';
import { Adapter } from './platform/http/adapter.ts';
import { closeInTime } from './platform/http/closing.ts';
import { addSecurityHeaders } from './platform/http/security-headers.ts';
import { serveWeb } from './platform/http/static-web.ts';
import { createLog, logRequests, NestLog } from './platform/observability/log.ts';
import { OpenApiSource } from './platform/openapi/openapi-source.ts';

const MOST_BODY_BYTES = 1_048_576;

/** The application with everything registered, before it is initialised: enough to describe it. */
export async function assembleApp(config: Config): Promise<NestFastifyApplication> {
  const log = createLog(config.logLevel);
  const adapter = new Adapter({
    loggerInstance: log,
    logController: new LogController({ disableRequestLogging: true }),
    bodyLimit: MOST_BODY_BYTES,
    trustProxy: config.trustProxy ?? false,
    forceCloseConnections: 'idle',
  });
  const app = await NestFactory.create<NestFastifyApplication>(AppModule.with(config), adapter, {
    // Fastify reads JSON by itself, and nothing else shall be read.
    bodyParser: false,
    logger: new NestLog(log),
    abortOnError: false,
  });
  app.setGlobalPrefix('api');
  app.get(OpenApiSource).attach(app);
  return app;
}

/** The application ready to listen. */
export async function createApp(config: Config): Promise<NestFastifyApplication> {
  const app = await assembleApp(config);
  const instance = app.getHttpAdapter().getInstance();
  instance.removeContentTypeParser('text/plain');
  logRequests(instance);
  closeInTime(instance);
  await app.register(cookie);
  await addSecurityHeaders(instance, config.publicUrl);
  if (config.webDist !== undefined) await serveWeb(instance, config.webDist);
  await app.init();
  await instance.ready();
  return app;
}
