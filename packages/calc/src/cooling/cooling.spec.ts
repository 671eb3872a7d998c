import { describe, expect, it } from '@jest/globals';
import { msPerMinute } from '../dates/instant.ts';
import { cooling } from './cooling.ts';

const start = Date.parse('2026-11-28T12:00:00.000Z');
/** So many minutes after the start. */
const at = (minutes: number): string => new Date(start + minutes * msPerMinute).toISOString();
const log = (readings: [number, string][], now: number, rule = 'cooked') => ({
  rule,
  startedAt: at(0),
  readings: readings.map(([minutes, celsius]) => ({ at: at(minutes), celsius })),
  now: at(now),
});
const verdicts = (readings: [number, string][], now: number, rule?: string) => {
  const { verdict, stages } = cooling(log(readings, now, rule));
  return [verdict, ...stages.map((stage) => stage.verdict)];
};

// FDA Food Code 2022, 3-501.14(A): from 57 C to 21 C within 2 hours and to 5 C within 6 hours in all.
describe('cooling of cooked food', () => {
  it('passes at 120 minutes and fails at 121', () => {
    expect(verdicts([[120, '21']], 120)).toEqual(['due', 'within', 'due']);
    expect(verdicts([[121, '21']], 121)).toEqual(['failed', 'failed', 'due']);
    expect(verdicts([[120 + 1 / 60_000, '21']], 121)).toEqual(['failed', 'failed', 'due']);
    expect(verdicts([], 120)).toEqual(['due', 'due', 'due']);
    expect(verdicts([], 121)).toEqual(['failed', 'failed', 'due']);
  });

  it('takes exactly 21 C and 5 C as reached, and nothing warmer', () => {
    expect(verdicts([[120, '21'], [360, '5']], 360)).toEqual(['within', 'within', 'within']); // prettier-ignore
    expect(verdicts([[120, '21.01'], [360, '5']], 360)).toEqual(['failed', 'failed', 'within']); // prettier-ignore
    expect(verdicts([[120, '21'], [360, '501/100']], 360)).toEqual(['due', 'within', 'due']); // prettier-ignore
  });

  it('counts 6 hours in all: time saved before 21 C may be used after it, and no fresh 4 hours begin', () => {
    expect(verdicts([[60, '21'], [360, '5']], 360)).toEqual(['within', 'within', 'within']); // prettier-ignore
    expect(verdicts([[120, '21'], [361, '5']], 361)).toEqual(['failed', 'within', 'failed']); // prettier-ignore
    expect(verdicts([[120, '21']], 361)).toEqual(['failed', 'within', 'failed']); // prettier-ignore
  });

  it('guesses nothing between two readings', () => {
    // It was most likely below 21 C at 120 minutes; nobody measured it.
    expect(verdicts([[110, '22'], [125, '12']], 125)).toEqual(['failed', 'failed', 'due']); // prettier-ignore
    expect(cooling(log([[60, '30'], [90, '20']], 100)).stages[0]?.reachedBetween).toEqual([at(60), at(90)]); // prettier-ignore
    expect(cooling(log([[90, '20']], 100)).stages[0]?.reachedBetween).toEqual([at(0), at(90)]);
  });

  it('takes back what was reached when the food is measured warm again', () => {
    expect(verdicts([[60, '20'], [90, '22']], 100)).toEqual(['due', 'due', 'due']); // prettier-ignore
    const again = cooling(log([[60, '20'], [90, '22'], [115, '19']], 120)); // prettier-ignore
    expect(again.stages[0]).toEqual({
      limitCelsius: '21',
      by: at(120),
      reachedBetween: [at(90), at(115)],
      verdict: 'within',
    });
    expect(verdicts([[60, '20'], [130, '22']], 130)).toEqual(['failed', 'failed', 'due']); // prettier-ignore
    expect(verdicts([[60, '20'], [300, '4'], [350, '6']], 355)).toEqual(['due', 'within', 'due']); // prettier-ignore
  });

  it('judges a reading by when it was measured, however late it came in', () => {
    expect(verdicts([], 130)[0]).toBe('failed');
    expect(verdicts([[119, '20.5']], 130)).toEqual(['due', 'within', 'due']);
  });

  it('takes the warmest of several readings of one instant, and one reading given twice as one', () => {
    expect(verdicts([[100, '19'], [100, '23']], 110)).toEqual(['due', 'due', 'due']); // prettier-ignore
    const once = cooling(log([[60, '30'], [100, '19']], 110)); // prettier-ignore
    expect(cooling(log([[100, '19'], [60, '30'], [100, '19.0'], [60, '30']], 110))).toEqual(once); // prettier-ignore
  });
});

// FDA Food Code 2022, 3-501.14(B): made from ingredients at room temperature, to 5 C within 4 hours.
describe('cooling of food made at room temperature', () => {
  it('passes at 240 minutes and fails at 241', () => {
    expect(verdicts([[240, '5']], 240, 'from-room-temperature')).toEqual(['within', 'within']);
    expect(verdicts([[241, '5']], 241, 'from-room-temperature')).toEqual(['failed', 'failed']);
    expect(verdicts([], 240, 'from-room-temperature')).toEqual(['due', 'due']);
    expect(verdicts([[10, '22']], 241, 'from-room-temperature')).toEqual(['failed', 'failed']);
  });
});

describe('what to do next', () => {
  const next = (readings: [number, string][], now: number, rule?: string) => cooling(log(readings, now, rule)).next;

  it('asks for a reading halfway to the limit, at once when that is past', () => {
    expect(next([], 0)).toEqual({ code: 'measure', by: at(60) });
    expect(next([], 59)).toEqual({ code: 'measure', by: at(60) });
    expect(next([], 90)).toEqual({ code: 'measure', by: at(90) });
    expect(next([[60, '35']], 61)).toEqual({ code: 'measure', by: at(90) });
    expect(next([[20, '60']], 25)).toEqual({ code: 'measure', by: at(70) });
    expect(next([[20, '40'], [80, '21']], 90)).toEqual({ code: 'measure', by: at(220) }); // prettier-ignore
    expect(next([[60, '15']], 60, 'from-room-temperature')).toEqual({ code: 'measure', by: at(150) });
  });

  it('says to cool it faster while there is time, when the pace measured cannot do', () => {
    // 57 C to 45 C in 60 minutes is 12 degrees an hour; 24 are left.
    expect(next([[60, '45']], 61)).toEqual({ code: 'cool-faster', by: at(120) });
    expect(next([[0, '70'], [30, '50']], 30)).toEqual({ code: 'measure', by: at(75) }); // prettier-ignore
    expect(next([[0, '57'], [60, '39']], 60)).toEqual({ code: 'measure', by: at(90) }); // prettier-ignore
    expect(next([[0, '57'], [60, '39.1']], 60)).toEqual({ code: 'cool-faster', by: at(120) }); // prettier-ignore
    expect(next([[10, '40'], [20, '40']], 20)).toEqual({ code: 'cool-faster', by: at(120) }); // prettier-ignore
    expect(next([[100, '20'], [200, '15']], 210)).toEqual({ code: 'cool-faster', by: at(360) }); // prettier-ignore
    expect(next([[0, '22'], [60, '21']], 60, 'from-room-temperature')).toEqual({ code: 'cool-faster', by: at(240) }); // prettier-ignore
  });

  it('keeps cold what is done, and throws away what failed', () => {
    expect(next([[100, '20'], [300, '5']], 310)).toEqual({ code: 'keep-cold', by: null }); // prettier-ignore
    expect(next([[130, '20']], 140)).toEqual({ code: 'throw-away', by: at(140) });
  });
});

describe('a cooling log that cannot be', () => {
  const good = log([[60, '30']], 90);
  it.each([
    [{ ...good, now: at(-1) }, '#/now'],
    [{ ...good, readings: [{ at: at(-1), celsius: '60' }] }, '#/readings/0/at'],
    [{ ...good, readings: [{ at: at(91), celsius: '30' }] }, '#/readings/0/at'],
    [{ ...good, readings: [{ at: at(60), celsius: 'NaN' }] }, '#/readings/0/celsius'],
    [{ ...good, readings: [{ at: at(60), celsius: 21.5 }] }, '#/readings/0/celsius'],
    [{ ...good, readings: [{ at: at(60), celsius: '201' }] }, '#/readings/0/celsius'],
    [{ ...good, readings: [{ at: at(60), celsius: '-61' }] }, '#/readings/0/celsius'],
    [{ ...good, readings: [{ at: '2026-11-28T13:00:00+01:00', celsius: '30' }] }, '#/readings/0/at'],
    [{ ...good, startedAt: '2026-11-31T12:00:00Z' }, '#/startedAt'],
    [{ ...good, startedAt: start }, '#/startedAt'],
    [{ ...good, rule: 'frozen' }, '#/rule'],
    [{ ...good, readings: undefined }, '#/readings'],
  ])('is refused: %j', (input, pointer) => {
    expect(() => cooling(input)).toThrow(
      expect.objectContaining({ code: 'invalid-input', errors: [expect.objectContaining({ pointer })] }),
    );
  });
});
