import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { NoticeFacts } from '@frostmoot/contract';
import { NoticesService } from '../../apps/api/src/notices/notices.service.ts';
import { UnitOfWork } from '../../apps/api/src/platform/db/unit-of-work.ts';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Api, type Client } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { until } from '../builders/until.ts';
import { actorOf } from '../jobs/counting-jobs.ts';
import { MailSink } from './mail-sink.ts';

interface Listed {
  unseen: number;
  items: { id: string; kind: string; facts: NoticeFacts; seen: boolean; seenBy: { name: string }[] }[];
}
const FACTS = { what: 'Mince', lot: '4471', n: 2, codes: 'R14-A1-1, R14-A1-3', sure: 'yes' };

describe('notices', () => {
  let api: Api;
  let sink: MailSink;
  let cooperative: BuiltCooperative;
  beforeAll(async () => {
    sink = await MailSink.open();
    api = await startApi({ smtpUrl: sink.url, mailFrom: 'Frostmoot <no-reply@frostmoot.example>' });
    cooperative = await buildCooperative(api, {
      households: [{ name: 'Alder' }, { name: 'Birch' }, { name: 'Cedar' }, { name: 'Dogwood' }],
    });
    await speak('Birch', 'es');
    await speak('Cedar', 'ar');
  });
  afterAll(async () => {
    await api.stop();
    await sink.close();
  });

  const speak = async (name: string, locale: string): Promise<void> => {
    const { client } = cooperative.household(name);
    const me = await client.ok<{ version: number }>('GET', '/me');
    await client.ok('PATCH', '/me', { locale }, { ifMatch: me.version });
  };
  const give = (names: string[], facts: NoticeFacts = FACTS, fail = false): Promise<void> => {
    const actor = actorOf(cooperative, 'Alder');
    const householdIds = names.map((name) => cooperative.household(name).id);
    return api.app.get(UnitOfWork).write(actor, async (tx) => {
      await api.app.get(NoticesService).give(tx, actor, { householdIds, kind: 'recall', facts, subjectId: null });
      if (fail) throw new Error('rolled back');
    });
  };
  const list = (client: Client) => client.ok<Listed>('GET', `${cooperative.path}/notices`);

  it('reach the households that they are for, once each, and are seen by somebody', async () => {
    await give(['Birch', 'Cedar', 'Birch']);
    const birch = cooperative.household('Birch');
    const [notice] = (await list(birch.client)).items;
    expect(await list(birch.client)).toMatchObject({
      unseen: 1,
      items: [{ kind: 'recall', facts: FACTS, seen: false }],
    });
    expect((await list(cooperative.household('Dogwood').client)).items).toEqual([]);
    const seen = await birch.client.ok<Listed['items'][0]>('POST', `${cooperative.path}/notices/${notice?.id}/seen`);
    expect(seen).toMatchObject({ seen: true, seenBy: [{ name: expect.any(String) }] });
    expect((await list(birch.client)).unseen).toBe(0);
    // Another household's notice is none of mine, coordinators included.
    const path = `${cooperative.path}/notices/${notice?.id}/seen`;
    expect((await cooperative.coordinator.call('POST', path)).status).toBe(404);
  });

  it('go out by mail in the language of whoever gets them', async () => {
    const { email: spanish } = cooperative.household('Birch');
    const { email: arabic } = cooperative.household('Cedar');
    await until(() => sink.to(spanish).length === 1 && sink.to(arabic).length === 1);
    const [mail] = sink.to(spanish);
    expect(mail?.subject).toBe('Tree Lane: Retirada: no comáis estos 2 envases');
    expect(mail?.text).toContain('Está en R14-A1-1, R14-A1-3. Apartadlos de otros alimentos');
    expect(mail?.text).toContain('/notices');
    expect(mail?.from?.text).toBe('"Frostmoot" <no-reply@frostmoot.example>');
    const [other] = sink.to(arabic);
    // Arabic-Indic digits, and a direction that plain text cannot say.
    expect(other?.subject).toContain('استدعاء: لا تأكلوا هاتين العلبتين');
    expect(String(other?.html)).toContain('<html lang="ar" dir="rtl">');
  });

  it('come only once they are committed', async () => {
    const before = sink.mails.length;
    await expect(give(['Dogwood'], FACTS, true)).rejects.toThrow('rolled back');
    expect((await list(cooperative.household('Dogwood').client)).items).toEqual([]);
    await give(['Alder']);
    await until(() => sink.mails.length > before);
    expect(sink.to(cooperative.household('Dogwood').email)).toEqual([]);
  });

  it('stay on the screen alone for who wants no mail', async () => {
    const { client, email } = cooperative.household('Dogwood');
    const me = await client.ok<{ version: number; wantsMail: boolean }>('GET', '/me');
    expect(me.wantsMail).toBe(true);
    await client.ok('PATCH', '/me', { wantsMail: false }, { ifMatch: me.version });
    await give(['Dogwood', 'Alder']);
    const alder = cooperative.household('Alder').email;
    await until(() => sink.to(alder).length === 2);
    await until(async () => (await openJobs()) === 0);
    expect([sink.to(email), (await list(client)).unseen]).toEqual([[], 1]);
  });

  it('are tried again when the mail server refuses, and then come once', async () => {
    sink.refusing = true;
    const { email } = cooperative.household('Alder');
    const before = sink.to(email).length;
    await give(['Alder'], { ...FACTS, lot: '5000' });
    await until(() => sink.refusals > 0);
    sink.refusing = false;
    await until(() => sink.to(email).length > before);
    await until(async () => (await openJobs()) === 0);
    expect(sink.to(email)).toHaveLength(before + 1);
    const ids = sink.mails.map(({ messageId }) => messageId);
    expect(new Set(ids).size).toBe(ids.length);
  });

  it('are all seen with one act', async () => {
    const { client } = cooperative.household('Alder');
    expect((await list(client)).unseen).toBe(3);
    expect(await client.ok('POST', `${cooperative.path}/notices/seen`)).toMatchObject({ unseen: 0 });
  });

  const openJobs = () =>
    withClient(api.database.ownerUrl, async (client) => {
      const { rows } = await client.query<{ n: number }>(
        `SELECT count(*)::int AS n FROM job WHERE kind = 'notice-mail' AND ended_at IS NULL`,
      );
      return rows[0]?.n;
    });
});
