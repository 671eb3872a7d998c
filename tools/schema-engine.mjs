#!/usr/bin/env node
// The schema engine that the Prisma CLI talks to, as WebAssembly over node-postgres instead of a downloaded binary. The CLI speaks JSON-RPC, one
// document a line, on standard input and output; `cli can-connect-to-database | create-database | drop-database` are single-shot sub-commands.
import { readFile } from 'node:fs/promises';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import pg from 'pg';
import { openAdapter, shadowAdapter } from './schema-engine-adapter.mjs';

/** @typedef {{ id: number, method: string, params?: Record<string, any> }} Request */
/** @typedef {Error & { cause?: any, code?: string, error_code?: string, meta?: unknown, is_panic?: boolean }} EngineError */

// The WebAssembly module reports a panic here before it traps; the last message is what the CLI shows.
let panicMessage = '';
Object.assign(globalThis, {
  PRISMA_WASM_PANIC_REGISTRY: { set_message: (/** @type {string} */ text) => void (panicMessage = text) },
});

/** Loads the WebAssembly module by hand, since Node 20 does not import `.wasm` files. */
async function loadEngineClass() {
  const glueUrl = import.meta.resolve('@prisma/schema-engine-wasm/schema_engine_bg');
  const glue = await import(glueUrl);
  const bytes = await readFile(fileURLToPath(new URL('./schema_engine_bg.wasm', glueUrl)));
  const { instance } = await WebAssembly.instantiate(bytes, { './schema_engine_bg.js': glue });
  glue.__wbg_set_wasm(instance.exports);
  /** @type {any} */ (instance.exports).__wbindgen_start();
  return glue.SchemaEngine;
}

/**
 * @param {string[]} args
 * @returns {{ url: string, datamodels: string[], subCommand: string | undefined }}
 */
function parseArguments(args) {
  let url = process.env.DATABASE_URL ?? '';
  /** @type {string[]} */
  const datamodels = [];
  for (let i = 0; i < args.length; i += 1) {
    if (args[i] === '--datasource') url = JSON.parse(args[++i] ?? '{}').url ?? url;
    else if (args[i] === '--datamodels') datamodels.push(args[++i] ?? '');
    else if (args[i] === 'cli') return { url, datamodels, subCommand: args[i + 1] };
  }
  return { url, datamodels, subCommand: undefined };
}

/** @param {Record<string, any>} params @param {string} fallback */
function urlOf(params, fallback) {
  const target = [params.from, params.to].find((side) => side?.tag === 'url');
  return params.datasourceType?.url ?? params.datasource?.url ?? target?.url ?? fallback;
}

/** Creates or drops the database that `url` names, from the maintenance database. @param {string} url @param {'CREATE' | 'DROP'} verb */
async function changeDatabase(url, verb) {
  const database = decodeURIComponent(new URL(url).pathname.slice(1));
  const maintenance = new URL(url);
  maintenance.pathname = '/postgres';
  const client = new pg.Client({ connectionString: maintenance.href });
  await client.connect();
  try {
    const name = client.escapeIdentifier(database);
    await client.query(verb === 'CREATE' ? `CREATE DATABASE ${name}` : `DROP DATABASE IF EXISTS ${name} WITH (FORCE)`);
  } finally {
    await client.end();
  }
  return { databaseName: database };
}

/** The stable code of Prisma for what the driver reported, so that the CLI prints its usual sentence. @param {any} error */
function describeError(error) {
  const code =
    error?.error_code ?? { '3D000': 'P1003', '28P01': 'P1000', '42P04': 'P1009' }[/** @type {string} */ (error?.code)];
  const unreachable = ['ECONNREFUSED', 'ENOTFOUND', 'ETIMEDOUT', 'EHOSTUNREACH'].includes(error?.code);
  const message =
    error instanceof AggregateError
      ? error.errors.map((one) => one.message).join('; ')
      : String(error?.message ?? error);
  return { errorCode: code ?? (unreachable ? 'P1001' : undefined), message };
}

/** @param {string} subCommand @param {string} url */
async function runSubCommand(subCommand, url) {
  try {
    if (subCommand === 'create-database') await changeDatabase(url, 'CREATE');
    else if (subCommand === 'drop-database') await changeDatabase(url, 'DROP');
    else if (subCommand === 'can-connect-to-database') {
      const client = new pg.Client({ connectionString: url });
      await client.connect();
      await client.end();
    } else throw new Error(`Unknown sub-command ${subCommand}`);
  } catch (error) {
    const { errorCode, message } = describeError(error);
    const fields = { message, is_panic: false, error_code: errorCode ?? 'P1001' };
    // The CLI drops the first line and parses every following one, so the JSON has a newline before it and none after it.
    process.stderr.write(`\n${JSON.stringify({ level: 'ERROR', target: 'schema_engine::logger', fields })}`);
    process.exitCode = 1;
  }
}

/** Answers one call with an engine of its own: an engine that has failed once is not used again. */
class Session {
  /** @param {any} Engine @param {string} url @param {[string, string][]} datamodels */
  constructor(Engine, url, datamodels) {
    this.Engine = Engine;
    this.url = url;
    this.datamodels = datamodels;
  }

  /** @param {Request} request */
  async answer({ method, params = {} }) {
    if (method === 'createDatabase') return changeDatabase(urlOf(params, this.url), 'CREATE');
    const url = urlOf(params, this.url);
    const factory = {
      provider: 'postgres',
      adapterName: '@prisma/adapter-pg',
      connect: () => openAdapter(url),
      connectToShadowDb: () => shadowAdapter(url),
    };
    const { bindMigrationAwareSqlAdapterFactory } = await import('@prisma/driver-adapter-utils');
    const bound = bindMigrationAwareSqlAdapterFactory(/** @type {any} */ (factory));
    const engine = await this.Engine.new(
      { datamodels: this.datamodels.length > 0 ? this.datamodels : undefined },
      () => {},
      bound,
    );
    try {
      if (method === 'evaluateDataLoss' || method === 'createMigration') {
        // Only the diagnostic loads the history into the shadow database; without it the next call sees an empty one.
        await engine.devDiagnostic({ migrationsList: params.migrationsList, filters: params.filters });
      }
      const call = method === 'getDatabaseVersion' ? 'version' : method;
      if (typeof engine[call] !== 'function') throw new Error(`The schema engine has no method ${method}`);
      return (await engine[call](params)) ?? {};
    } catch (error) {
      throw Object.assign(/** @type {any} */ (error), registered(bound, error));
    } finally {
      engine.free();
    }
  }
}

/** Errors of plain JavaScript are kept by the adapter under a number; this finds the first one again. @param {any} bound @param {any} error */
function registered(bound, error) {
  const kept = bound.errorRegistry?.registeredErrors?.[0]?.error;
  return kept && !error.error_code ? { message: String(kept.message ?? kept), code: kept.code } : {};
}

/** @param {Request} request @param {any} error */
function errorAnswer(request, error) {
  const isPanic = error instanceof WebAssembly.RuntimeError;
  const { errorCode, message } = describeError(error);
  const text = isPanic ? panicMessage || message : message;
  const data = {
    is_panic: isPanic,
    message: text,
    meta: error?.meta ?? null,
    ...(errorCode ? { error_code: errorCode } : {}),
  };
  return { jsonrpc: '2.0', id: request.id, error: { code: 4466, message: 'An error happened.', data } };
}

/** @param {unknown} document */
function send(document) {
  process.stdout.write(`${JSON.stringify(document)}\n`);
}

/**
 * A panic traps inside a callback of the engine, so the promise of the call never settles: the trap surfaces here and ends the process with the code
 * that the CLI reads as a panic.
 * @param {Error} error
 */
function endAfterPanic(error) {
  const message = error instanceof WebAssembly.RuntimeError ? panicMessage || error.message : error.message;
  const fields = { message, is_panic: true, backtrace: error.stack };
  process.stderr.write(`${JSON.stringify({ level: 'ERROR', target: 'schema_engine::logger', fields })}\n`, () =>
    process.exit(101),
  );
}

/** @param {string} url @param {string[]} datamodels */
async function serve(url, datamodels) {
  const Engine = await loadEngineClass();
  const files = await Promise.all(
    datamodels.map(async (path) => /** @type {[string, string]} */ ([path, await readFile(path, 'utf8')])),
  );
  process.on('uncaughtException', endAfterPanic);
  const session = new Session(Engine, url, files);
  for await (const line of createInterface({ input: process.stdin, crlfDelay: Infinity })) {
    /** @type {Request} */
    const request = JSON.parse(line);
    // The CLI acknowledges our `print` notifications with a document without a method.
    if (!request.method) continue;
    try {
      const result = await session.answer(request);
      if (request.method === 'diff' && result.stdout) {
        send({ jsonrpc: '2.0', id: `print-${request.id}`, method: 'print', params: { content: result.stdout } });
      }
      send({
        jsonrpc: '2.0',
        id: request.id,
        result: request.method === 'diff' ? { ...result, stdout: null } : result,
      });
    } catch (error) {
      send(errorAnswer(request, error));
    }
  }
}

const { url, datamodels, subCommand } = parseArguments(process.argv.slice(2));
if (process.argv.includes('--version')) process.stdout.write('schema-engine-cli wasm\n');
else if (subCommand) await runSubCommand(subCommand, url);
else await serve(url, datamodels);
