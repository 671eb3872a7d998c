import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { startApi, type Api } from './harness.ts';

describe('changing what somebody else may have changed', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  beforeAll(async () => {
    api = await startApi();
    cooperative = await buildCooperative(api);
  });
  afterAll(() => api.stop());
  const change = (claimAheadPortions: number, ifMatch?: number | string) =>
    cooperative.coordinator.call<{ version: number; claimAheadPortions: number }>(
      'PATCH',
      cooperative.path,
      { claimAheadPortions },
      { ifMatch },
    );

  it('gives the version in the ETag and takes it in If-Match', async () => {
    const read = await cooperative.coordinator.call<{ version: number }>('GET', cooperative.path);
    expect(read.headers.get('etag')).toBe(`"${read.body.version}"`);
    const changed = await change(5, read.headers.get('etag') ?? '');
    expect(changed.body).toMatchObject({ claimAheadPortions: 5, version: read.body.version + 1 });
    expect(changed.headers.get('etag')).toBe(`"${read.body.version + 1}"`);
  });

  it('refuses a change that names no version, an old one or something that is none', async () => {
    const { body } = await cooperative.coordinator.call<{ version: number }>('GET', cooperative.path);
    expect((await change(6)).body).toMatchObject({ status: 428, code: 'precondition-required' });
    for (const old of [body.version - 1, body.version + 1, '*', `W/"${body.version}"`, '"x"', String(body.version)]) {
      expect((await change(6, old)).body).toMatchObject({ status: 412, code: 'precondition-failed' });
    }
    expect((await cooperative.coordinator.call('GET', cooperative.path)).body).toMatchObject(body);
  });

  it('lets one of many changes from the same version through', async () => {
    const { body } = await cooperative.coordinator.call<{ version: number }>('GET', cooperative.path);
    const answers = await Promise.all(Array.from({ length: 8 }, (_, index) => change(10 + index, body.version)));
    expect(answers.filter(({ status }) => status === 200)).toHaveLength(1);
    expect(answers.filter(({ status }) => status === 412)).toHaveLength(7);
    const winner = answers.find(({ status }) => status === 200);
    expect((await cooperative.coordinator.call('GET', cooperative.path)).body).toEqual(winner?.body);
  });
});
