import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { accounts, leaving, portionRounds } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { broken } from '../api/books.ts';
import { startApi, type Api } from '../api/harness.ts';
import { fairShares, type Eater } from './fair-shares.ts';
import { Fraction, whole } from './fraction.ts';
import { OwnBooks } from './own-books.ts';
import { Play, type Box, type Shared } from './play.ts';
import { BREAKS_IN, dateAt, DISHES, drawing, HOUSEHOLDS, JOINER, JOINS_IN, LEAVER, LEAVES_AFTER } from './scenario.ts';

const ROUNDS = 26;
const LARGEST = 6;
const AHEAD_AT_MOST = 4;
/** The books count in millionths of a portion and cut once an entry. */
const CUT = 1;

// Whatever is reckoned here is reckoned by hand: fractions of our own, and only from what was cooked, done and seen.
describe('a year of 26 rounds', () => {
  let api: Api;
  let play: Play;
  const books = new OwnBooks();
  const draw = drawing(20260106);
  const eaters = new Map<string, Eater>();
  const spent = { minor: 0, portions: 0 };
  let lostPortions = 0;
  const farthest: { name: string; round: number; portions: number }[] = [];
  beforeAll(async () => {
    api = await startApi({ now: new Date('2026-01-06T09:00:00Z') });
    play = await Play.begin(api);
    for (const { name, adults, children, hard } of HOUSEHOLDS) eaters.set(name, eater(name, adults, children, hard));
  });
  afterAll(() => api.stop());

  /** An adult counts 1, a child 1/2: the cooperative's scale per head. */
  function eater(name: string, adults: number, children: number, hard: readonly string[]): Eater {
    const mayEat = DISHES.filter(({ unfitFor }) => !hard.some((subject) => (unfitFor as string[]).includes(subject)));
    return { name, weight: new Fraction(2 * adults + children, 2), mayEat: new Set(mayEat.map((dish) => dish.name)) };
  }

  const brokenStock = () =>
    withClient(
      api.database.ownerUrl,
      async (client) => (await client.query('SELECT * FROM broken_invariant_stock')).rows,
    );
  const pick = <T>(items: readonly T[]): T | undefined => items[Math.floor(draw() * items.length)];
  const micro = (name: string): number => books.balance(name).micro();
  const mayEat = (name: string, box: Box): boolean => eaters.get(name)?.mayEat.has(box.dish) === true;
  /** Whether a household would still be within one largest container after its balance moved by so much. */
  const stays = (name: string, moved: number): boolean =>
    Math.abs(micro(name) + moved * 1_000_000) <= LARGEST * 1_000_000;

  /** Remembers how far everybody is, and refuses whoever is farther than the largest container. */
  function look(round: number): void {
    for (const name of eaters.keys()) {
      const portions = micro(name) / 1_000_000;
      farthest.push({ name, round, portions });
      expect([round, name, Math.abs(portions) <= LARGEST]).toEqual([round, name, true]);
    }
  }

  /** What comes of a batch: as planned, or one to three containers less, the smallest first. */
  function yieldOf(name: string): { portions: number; count: number }[] {
    const dish = DISHES.find((each) => each.name === name);
    const planned = (dish?.sizes ?? []).map((portions, index) => ({ portions, count: dish?.batch[index] ?? 0 }));
    let short = draw() < 0.4 ? 1 + Math.floor(draw() * 3) : 0;
    const made = planned.reverse().map(({ portions, count }) => {
      const less = Math.min(short, count);
      short -= less;
      return { portions, count: count - less };
    });
    return made.filter(({ count }) => count > 0);
  }

  /** Checks a share-out against our own shares, and books what everybody got. */
  function account(shared: Shared, made: ReadonlyMap<string, number>): void {
    const due = fairShares([...eaters.values()], made);
    for (const { household, containers, entitlement, short } of shared.parts) {
      const [n = '0', d = '1'] = entitlement.split('/');
      const own = due.get(household.name) as Fraction;
      expect([household.name, `${n}/${d}`]).toEqual([household.name, `${own.n}/${own.d}`]);
      expect([household.name, short]).toEqual([household.name, '0']);
      for (const box of containers) expect([household.name, box.dish, mayEat(household.name, box)]).toContain(true);
      books.add(household.name, 'due', own);
      books.count(household.name, 'received', portionsIn(containers));
    }
    expect(shared.parts.reduce((sum, { containers }) => sum + portionsIn(containers), 0)).toBe(
      [...made.values()].reduce((sum, portions) => sum + portions, 0),
    );
  }

  const portionsIn = (boxes: readonly Box[]): number => boxes.reduce((sum, { portions }) => sum + portions, 0);
  const sealedOf = async (name: string): Promise<Box[]> =>
    (await play.freezer(name)).items.filter(({ offered }) => !offered);

  /** Somebody gives a container back, and whoever is owed most and may eat it takes it. */
  async function releaseAndClaim(): Promise<void> {
    const giver = pick([...eaters.keys()]) ?? '';
    const box = pick(await sealedOf(giver));
    if (!box || !stays(giver, box.portions)) return;
    await play.release(giver, box);
    books.count(giver, 'received', -box.portions);
    const takers = [...eaters.keys()].filter(
      (name) => name !== giver && mayEat(name, box) && (name !== JOINER.name || box.roundNumber >= JOINS_IN),
    );
    const taker = takers.sort((a, b) => micro(b) - micro(a))[0] ?? '';
    const answer = await play.claim(taker, box);
    const isWithin = micro(taker) - box.portions * 1_000_000 >= -AHEAD_AT_MOST * 1_000_000;
    expect([taker, answer.status, answer.body.code]).toEqual(
      isWithin ? [taker, 200, undefined] : [taker, 409, 'over-allowance'],
    );
    if (isWithin) books.count(taker, 'received', box.portions);
    else {
      // Nobody else is owed more, so the giver takes it back.
      expect((await play.claim(giver, box)).status).toBe(micro(giver) - box.portions * 1_000_000 >= -4e6 ? 200 : 409);
      books.count(giver, 'received', box.portions);
    }
  }

  /** Two households swap a container each, also of different sizes. */
  async function swap(): Promise<void> {
    const [from = '', to = ''] = [pick([...eaters.keys()]), pick([...eaters.keys()])];
    if (from === to) return;
    const give = pick((await sealedOf(from)).filter((box) => mayEat(to, box)));
    const get = pick((await sealedOf(to)).filter((box) => mayEat(from, box)));
    if (!give || !get) return;
    const more = give.portions - get.portions;
    if (!stays(from, more) || !stays(to, -more)) return;
    await play.swap(from, to, give, get);
    books.count(from, 'swapped', more);
    books.count(to, 'swapped', -more);
  }

  /** A container breaks before it is collected: it is written off against the common account and its household is owed it again. */
  async function breakOne(): Promise<void> {
    const name = [...eaters.keys()].sort((a, b) => micro(a) - micro(b))[0] ?? '';
    const [box] = await sealedOf(name);
    if (!box) return;
    await play.end(play.who, box, {
      state: 'lost',
      reasonCode: 'damaged',
      reason: 'The lid had split',
      against: 'common',
    });
    books.count(name, 'other', box.portions);
    lostPortions += box.portions;
  }

  /** What was written off since is borne by everybody of the next share-out, by headcount, before it books what is due. */
  function bearLosses(): void {
    const all = [...eaters.values()].reduce((sum, { weight }) => sum.plus(weight), whole(0));
    for (const { name, weight } of eaters.values()) {
      if (lostPortions > 0) books.add(name, 'other', whole(-lostPortions).times(weight).over(all));
    }
    lostPortions = 0;
  }

  /** Three households eat from what they should use first; now and then something has to be thrown away. */
  async function eat(): Promise<void> {
    for (let turn = 0; turn < 3; turn += 1) {
      const name = pick([...eaters.keys()]) ?? '';
      const { items } = await play.freezer(name);
      for (const box of items.slice(0, 3)) {
        const thrown = draw() < 0.1;
        const ending = thrown ? { state: 'thrown-away', reasonCode: 'thawed' } : { state: 'eaten' };
        await play.end(play.as(name), box, ending);
      }
    }
  }

  /** The leaver's portions are worth what a portion of the round cost; who stays takes over by weight. */
  async function leave(): Promise<void> {
    const path = play.path(`/accounts/${play.idOf(LEAVER)}/leaving`);
    const shown = await play.who.ok<z.infer<typeof leaving>>('GET', path);
    const balance = books.balance(LEAVER);
    expect(Math.abs(Number(shown.portionsMicro) - balance.micro())).toBeLessThanOrEqual(ROUNDS * CUT);
    const exact = (Number(shown.portionsMicro) / 1_000_000) * (spent.minor / spent.portions);
    expect(Math.abs(Number(shown.moneyMinor ?? 0) - exact)).toBeLessThanOrEqual(0.5 + 1e-6);
    expect(shown.takenOver.reduce((sum, part) => sum + Number(part.moneyMinor), 0)).toBe(
      -Number(shown.moneyMinor ?? 0),
    );
    const { portionsMicro, moneyMinor, version } = shown;
    await play.who.ok('POST', path, { portionsMicro, moneyMinor }, { ifMatch: version });
    eaters.delete(LEAVER);
    const staying = [...eaters.values()];
    const all = staying.reduce((sum, { weight }) => sum.plus(weight), whole(0));
    books.add(LEAVER, 'other', whole(0).minus(balance));
    for (const { name, weight } of staying) books.add(name, 'other', balance.times(weight).over(all));
  }

  /** What the books say of everybody, line by line, against our own lines. */
  async function compare(): Promise<void> {
    for (const name of play.households.keys()) {
      const path = play.path(`/accounts/${play.idOf(name)}/portions`);
      const { rounds, total } = await play.as(name).ok<z.infer<typeof portionRounds>>('GET', path);
      const own = books.of(name);
      expect([name, rounds.map(({ roundNumber }) => roundNumber)]).toEqual([name, own.map(({ round }) => round)]);
      for (const [index, line] of own.entries()) {
        const booked = rounds[index];
        const near = (which: string, micros: string | undefined, exact: Fraction, cuts = 2): void =>
          expect([
            name,
            line.round,
            which,
            micros,
            exact.micro(),
            Math.abs(Number(micros) - exact.micro()) <= cuts * CUT,
          ]).toContain(true);
        near('due', booked?.dueMicro, line.due);
        near('received', booked?.receivedMicro, line.received);
        near('swapped', booked?.swappedMicro, line.swapped);
        // Buying a leaver out books its whole balance, with what was cut off in every round before.
        near('other', booked?.otherMicro, line.other, line.round === LEAVES_AFTER ? ROUNDS : 2);
      }
      expect(Math.abs(Number(total.carriedMicro) - micro(name))).toBeLessThanOrEqual(2 * ROUNDS * CUT);
    }
    const { households } = await play.who.ok<z.infer<typeof accounts>>('GET', play.path('/accounts'));
    // Every receipt is split to the last minor unit and a leaver's money is taken over, so the households sum to nil.
    expect(households.reduce((sum, { moneyMinor }) => sum + BigInt(moneyMinor), 0n)).toBe(0n);
  }

  it.each(Array.from({ length: ROUNDS }, (_, index) => index + 1))(
    'round %i gives everybody what is due, within one largest container',
    async (round) => {
      play.goTo(round, 0);
      const dishes = DISHES.map(({ name }) => name).filter((_, index) => round % 5 !== index + 1);
      const roundId = await play.startRound(round, dishes);
      await play.moveOn(roundId, 'buying');
      play.goTo(round, 2);
      spent.minor = await play.buy(roundId, round, pick([...eaters.keys()]) ?? '', Math.floor(draw() * 90));
      await play.moveOn(roundId, 'cooking');
      if (round === JOINS_IN) {
        const { name, adults, children } = JOINER;
        await play.join(name, adults, children);
        await play.takeIn(roundId, name, dateAt(round, 4));
        eaters.set(name, eater(name, adults, children, []));
      }
      play.goTo(round, 4);
      const made = new Map<string, number>();
      await play.cook(roundId, round, (dish) => {
        const containers = yieldOf(dish);
        made.set(dish, (made.get(dish) ?? 0) + containers.reduce((sum, each) => sum + each.portions * each.count, 0));
        return containers;
      });
      spent.portions = [...made.values()].reduce((sum, portions) => sum + portions, 0);
      await play.moveOn(roundId, 'sharing');
      play.goTo(round, 5);
      const shared = await play.shareOut(roundId);
      bearLosses();
      books.round = round;
      account(shared, made);
      look(round);
      if (BREAKS_IN.includes(round)) await breakOne();
      for (let turn = 0; turn < 2; turn += 1) await releaseAndClaim();
      for (let turn = 0; turn < 2; turn += 1) await swap();
      look(round);
      play.goTo(round, 12);
      await eat();
      await play.moveOn(roundId, 'settled');
      if (round === LEAVES_AFTER) await leave();
      look(round);
      expect(await broken(api)).toEqual([]);
      expect(await brokenStock()).toEqual([]);
    },
  );

  it('ends with books that say the same as ours, line by line', async () => {
    await compare();
    const most = farthest.reduce((far, next) => (Math.abs(next.portions) > Math.abs(far.portions) ? next : far));
    expect(Math.abs(most.portions)).toBeLessThanOrEqual(LARGEST);
  });
});
