import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { household, notices } from '@frostmoot/contract';
import { readFile } from 'node:fs/promises';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { startApi, type Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { addIngredient, addRecipe, quality } from '../builders/pantry.ts';
import { buildSharedRound } from '../builders/shared-round.ts';
import { until } from '../builders/until.ts';
import { MailSink } from './mail-sink.ts';

// Mail lies on servers of others, so it says which food to look at again and never what somebody must not eat, nor who.
const languages = ['en', 'es', 'ar'] as const;
const names = ['Alder', 'Birch', 'Cedar', 'Dogwood'];
const DINER = 'Nurabel';

/** Every allergen and diet, by its name in each language and by its code, as whole words. */
async function wordsOfSubjects(): Promise<RegExp[]> {
  const lists = await Promise.all(
    languages.map(async (language) => {
      const file = new URL(`../../apps/web/src/lib/messages/${language}/food.json`, import.meta.url);
      const catalogue = Object.entries(JSON.parse(await readFile(file, 'utf8')) as Record<string, string>);
      const subjects = catalogue.filter(([key]) => key.startsWith('subject.'));
      return subjects.flatMap(([key, name]) => [key.slice('subject.'.length), name]);
    }),
  );
  const words = [...new Set(lists.flat())];
  expect(words.length).toBeGreaterThan(100);
  return words.map((word) => new RegExp(`(?<!\\p{L})${word.replaceAll('.', '\\.')}(?!\\p{L})`, 'iu'));
}

describe('mail about food that somebody must not eat', () => {
  let api: Api;
  let sink: MailSink;
  let cooperative: BuiltCooperative;
  beforeAll(async () => {
    sink = await MailSink.open();
    api = await startApi({
      now: new Date('2026-11-23T10:00:00Z'),
      smtpUrl: sink.url,
      mailFrom: 'Frostmoot <no-reply@frostmoot.example>',
    });
    cooperative = await buildCooperative(api, { households: names.map((name) => ({ name })) });
  });
  afterAll(async () => {
    await api.stop();
    await sink.close();
  });

  it('names neither an allergen or diet nor the diner, in any language, and reaches nobody who wants none', async () => {
    const { coordinator, path } = cooperative;
    for (const [at, locale] of languages.entries()) await change(names[at] ?? '', { locale });
    await change('Dogwood', { wantsMail: false });
    const cubes = await addIngredient(coordinator, path, { name: 'Cubes', baseUnit: 'g' });
    await addRecipe(coordinator, path, {
      ...{ name: 'Stew', ...quality, makes: { quantity: '1', unit: 'kg' } },
      lines: [{ ingredientId: cubes.id, quantity: '10', unit: 'g' }],
    });
    await buildSharedRound(api, cooperative, {
      dishes: [
        { name: 'Stew', containers: Array<number>(8).fill(2) },
        { name: 'Pie', containers: Array<number>(8).fill(2), unfitFor: ['milk'] },
      ],
      participants: names.map((name) => ({ household: name, weight: '2' })),
    });

    // After the pie is in the freezers somebody of each household must not have milk; then the stew turns out to hold celery.
    for (const name of names) await addDiner(name);
    await coordinator.ok(
      'PATCH',
      `${path}/ingredients/${cubes.id}`,
      { name: 'Cubes', baseUnit: 'g', allergens: ['celery'] },
      { ifMatch: cubes.version },
    );
    await until(async () => (await openJobs()) === 0);

    const told = await Promise.all(names.map(kindsToldTo));
    expect(told).toEqual(names.map(() => ['allergen-declared', 'diner-declared']));
    const forbiddenWords = await wordsOfSubjects();
    for (const [at, name] of names.entries()) {
      const mails = sink.to(cooperative.household(name).email);
      expect(mails).toHaveLength(name === 'Dogwood' ? 0 : 2);
      for (const { subject, text, html, headers } of mails) {
        expect(headers.get('content-language')).toBe(languages[at]);
        const words = [subject, text, html].join(' ');
        // The dish it must say, or it would be of no use.
        expect(words).toMatch(/Stew|Pie/);
        expect(words).not.toContain(DINER);
        for (const forbidden of forbiddenWords) expect(words.match(forbidden)).toBeNull();
      }
    }
  });

  const kindsToldTo = async (name: string) => {
    const { client } = cooperative.household(name);
    const { items } = await client.ok<z.infer<typeof notices>>('GET', `${cooperative.path}/notices`);
    return items.map(({ kind }) => kind).sort();
  };
  const change = async (name: string, changes: object): Promise<void> => {
    const { client } = cooperative.household(name);
    const { version } = await client.ok<{ version: number }>('GET', '/me');
    await client.ok('PATCH', '/me', changes, { ifMatch: version });
  };
  const addDiner = (name: string) => {
    const { client, id } = cooperative.household(name);
    return client.ok<z.infer<typeof household>>('POST', `${cooperative.path}/households/${id}/diners`, {
      ...{ name: DINER, ageBand: 'child', consent: true },
      restrictions: ['milk', 'celery', 'vegan'].map((subject) => ({ subject, strength: 'hard' })),
    });
  };
  const openJobs = () =>
    withClient(api.database.ownerUrl, async (client) => {
      const { rows } = await client.query<{ n: number }>(
        `SELECT count(*)::int AS n FROM job WHERE kind = 'notice-mail' AND ended_at IS NULL`,
      );
      return rows[0]?.n;
    });
});
