import { describe, expect, it } from '@jest/globals';
import { DomainError } from '../domain-error.ts';
import { checkRoundDates } from './dates.ts';
import { dishLetter, lotCode } from './lot-code.ts';
import { participantsOn, startOfRound } from './participants.ts';
import { nextStage, requireStage, roundStages } from './stages.ts';

describe('stages of a round', () => {
  it('follow each other to the last', () => {
    expect(roundStages.map(nextStage)).toEqual(['buying', 'cooking', 'sharing', 'settled', null]);
  });

  it('refuses an act that has no place in a stage, and says where the round is', () => {
    expect(() => requireStage('cooking', ['cooking', 'sharing'], 'A yield')).not.toThrow();
    try {
      requireStage('settled', ['cooking', 'sharing'], 'A yield');
      throw new Error('not refused');
    } catch (error) {
      expect(error).toBeInstanceOf(DomainError);
      expect(error).toMatchObject({ code: 'round-stage', params: { stage: 'settled', allowed: 'cooking sharing' } });
    }
  });
});

describe('dates of a round', () => {
  const dates = {
    planUntil: '2026-11-20',
    buyOn: '2026-11-20',
    cookOn: '2026-11-28',
    shareOn: '2026-11-29',
    swapUntil: '2026-12-04',
    settleOn: '2026-12-04',
  };

  it('may share a day but not go back', () => {
    expect(() => checkRoundDates(dates)).not.toThrow();
    try {
      checkRoundDates({ ...dates, cookOn: '2026-11-19', settleOn: '2026-12-03' });
      throw new Error('not refused');
    } catch (error) {
      expect((error as DomainError).errors.map(({ pointer }) => pointer)).toEqual(['#/cookOn', '#/settleOn']);
    }
  });
});

describe('who takes part on a day', () => {
  const rows = [
    { householdId: 'a', fromDate: '2026-11-25', weight: '3' },
    { householdId: 'a', fromDate: '2026-11-20', weight: '2' },
    { householdId: 'b', fromDate: '2026-11-20', weight: '1' },
    { householdId: 'late', fromDate: '2026-11-24', weight: '4' },
  ];
  const on = (date: string): Record<string, string> =>
    Object.fromEntries(participantsOn(rows, date).map(({ householdId, weight }) => [householdId, weight]));

  it('is told by the latest row whose date has come', () => {
    expect(startOfRound(rows)).toBe('2026-11-20');
    expect(on('2026-11-20')).toEqual({ a: '2', b: '1' });
    expect(on('2026-11-24')).toEqual({ a: '2', b: '1', late: '4' });
    expect(on('2026-11-25')).toEqual({ a: '3', b: '1', late: '4' });
  });

  it('is told by the first rows for what was bought before the round was written down', () => {
    expect(on('2026-11-01')).toEqual({ a: '2', b: '1' });
    expect(participantsOn([], '2026-11-01')).toEqual([]);
  });
});

describe('lot codes', () => {
  it('name round, dish and batch', () => {
    expect(lotCode(14, 1, 2)).toBe('R14-B2');
    expect([0, 25, 26, 51, 52].map(dishLetter)).toEqual(['A', 'Z', 'AA', 'AZ', 'BA']);
  });

  it('never give two dishes the same letters', () => {
    const letters = Array.from({ length: 1000 }, (_, index) => dishLetter(index));
    expect(new Set(letters).size).toBe(1000);
  });
});
