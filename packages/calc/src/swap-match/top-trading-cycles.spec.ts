import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { topTradingCycles } from './top-trading-cycles.ts';

describe('topTradingCycles', () => {
  it('gives what the help of the R package matchingMarkets prints for five agents', () => {
    // matchingMarkets, help page of ttc: columns of preferences as below, and agent i owns object 6 - i.
    const preferences = new Map([
      ['1', ['2', '5', '1', '4', '3']],
      ['2', ['1', '5', '4', '3', '2']],
      ['3', ['2', '1', '4', '3', '5']],
      ['4', ['2', '4', '3']],
      ['5', ['4', '3', '1', '2']],
    ]);
    const owners = new Map(['1', '2', '3', '4', '5'].map((agent) => [`${6 - Number(agent)}`, agent]));
    expect(Object.fromEntries(topTradingCycles(preferences, owners))).toEqual({
      1: '5',
      2: '1',
      3: '3',
      4: '2',
      5: '4',
    });
  });

  it('gives everybody one object no worse than its own, and leaves no group that could do better by itself', () => {
    const market = fc.integer({ min: 1, max: 5 }).chain((n) => {
      const ids = Array.from({ length: n }, (_, i) => `${i}`);
      return fc.tuple(...ids.map(() => fc.shuffledSubarray(ids, { minLength: n, maxLength: n })));
    });
    fc.assert(
      fc.property(market, (lists) => {
        const agents = lists.map((_, i) => `${i}`);
        const preferences = new Map(lists.map((list, i) => [`${i}`, list]));
        const gets = topTradingCycles(preferences, new Map(agents.map((id) => [id, id])));
        expect([...gets.values()].sort()).toEqual(agents);
        const rank = (agent: string, object = ''): number => preferences.get(agent)?.indexOf(object) ?? 0;
        // Every group of agents, and every way to deal its own objects out within it: the strict core (Roth and Postlewaite 1977).
        const deal = (group: string[], left: string[], better: boolean): boolean => {
          const [agent, ...others] = group;
          if (agent === undefined) return better;
          return left.some((object) => {
            const gain = rank(agent, gets.get(agent)) - rank(agent, object);
            return (
              gain >= 0 &&
              deal(
                others,
                left.filter((other) => other !== object),
                better || gain > 0,
              )
            );
          });
        };
        for (let set = 1; set < 2 ** agents.length; set++) {
          const group = agents.filter((_, i) => Math.floor(set / 2 ** i) % 2);
          expect(deal(group, group, false)).toBe(false);
        }
      }),
      { numRuns: 300 },
    );
  });

  it('leaves whoever wants nothing else with its own', () => {
    const owners = new Map([
      ['x', 'a'],
      ['y', 'b'],
    ]);
    expect(
      topTradingCycles(
        new Map([
          ['a', ['y']],
          ['b', []],
        ]),
        owners,
      ),
    ).toEqual(
      new Map([
        ['b', 'y'],
        ['a', 'x'],
      ]),
    );
  });

  it('refuses an owner without preferences and one of two objects', () => {
    expect(() => topTradingCycles(new Map(), new Map([['x', 'a']]))).toThrow(RangeError);
    expect(() =>
      topTradingCycles(
        new Map([['a', []]]),
        new Map([
          ['x', 'a'],
          ['y', 'a'],
        ]),
      ),
    ).toThrow(RangeError);
  });
});
