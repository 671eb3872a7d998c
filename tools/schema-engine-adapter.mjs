// What the stock driver adapter does not do for the schema engine: the catalogue type "char", scripts with $$ bodies, and shadow databases that are
// dropped although a connection lingers.
import { randomUUID } from 'node:crypto';
import { PrismaPg } from '@prisma/adapter-pg';
import { ColumnTypeEnum, DriverAdapterError } from '@prisma/driver-adapter-utils';
import pg from 'pg';

// https://www.postgresql.org/docs/18/datatype-character.html: the one-byte type of the system catalogues.
const OID_OF_CHAR = 18;

/** @param {string} url */
export async function openAdapter(url) {
  const pool = new pg.Pool({ connectionString: url, max: 4 });
  return prepared(pool, await adapterOver(pool), () => pool.end());
}

/** @param {string} url */
export async function shadowAdapter(url) {
  const database = `prisma_migrate_shadow_db_${randomUUID()}`;
  await onMainDatabase(url, `CREATE DATABASE "${database}"`);
  const shadow = new URL(url);
  shadow.pathname = `/${database}`;
  const pool = new pg.Pool({ connectionString: shadow.href, max: 4 });
  return prepared(pool, await adapterOver(pool), async () => {
    await pool.end();
    await onMainDatabase(url, `DROP DATABASE IF EXISTS "${database}" WITH (FORCE)`);
  });
}

/** @param {pg.Pool} pool */
function adapterOver(pool) {
  return new PrismaPg(pool).connect();
}

/**
 * @param {pg.Pool} pool
 * @param {any} adapter
 * @param {() => Promise<void>} close
 */
function prepared(pool, adapter, close) {
  readCharacterColumns(adapter);
  const startTransaction = adapter.startTransaction.bind(adapter);
  adapter.startTransaction = async (/** @type {any[]} */ ...args) =>
    readCharacterColumns(await startTransaction(...args));
  // The stock adapter cuts a script at every semicolon, which breaks function bodies; the server takes it whole.
  adapter.executeScript = async (/** @type {string} */ script) => {
    try {
      await pool.query(script);
    } catch (error) {
      throw driverError(error);
    }
  };
  let closed = false;
  adapter.dispose = async () => {
    if (closed) return;
    closed = true;
    await close();
  };
  return adapter;
}

/** Makes `performIO` report "char" columns as text, and puts the right column type back into the answer. @param {any} queryable */
function readCharacterColumns(queryable) {
  const performIO = queryable.performIO.bind(queryable);
  const queryRaw = queryable.queryRaw.bind(queryable);
  queryable.queryRaw = async (/** @type {any} */ query) => {
    /** @type {number[]} */
    const characterColumns = [];
    queryable.performIO = async (/** @type {any} */ inner) => {
      const result = await performIO(inner);
      const fields = result.fields.map((/** @type {any} */ field, /** @type {number} */ index) => {
        if (field.dataTypeID !== OID_OF_CHAR) return field;
        characterColumns.push(index);
        return { ...field, dataTypeID: pg.types.builtins.TEXT };
      });
      return { ...result, fields };
    };
    const answer = await queryRaw(query);
    for (const index of characterColumns) answer.columnTypes[index] = ColumnTypeEnum.Character;
    return answer;
  };
  return queryable;
}

/** @param {any} error */
function driverError(error) {
  if (typeof error?.code !== 'string' || typeof error?.severity !== 'string') return error;
  const { code, severity, message, detail, column, hint } = error;
  return new DriverAdapterError({
    kind: 'postgres',
    originalCode: code,
    originalMessage: message,
    code,
    severity,
    message,
    detail,
    column,
    hint,
  });
}

/** @param {string} url @param {string} statement */
async function onMainDatabase(url, statement) {
  const client = new pg.Client({ connectionString: url });
  await client.connect();
  try {
    await client.query(statement);
  } finally {
    await client.end();
  }
}
