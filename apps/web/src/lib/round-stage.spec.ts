import { describe, expect, it } from '@jest/globals';
import { currentRound, stageAfter, stripStage } from './round-stage.ts';

const dates = {
  planUntil: '2026-11-22',
  buyOn: '2026-11-27',
  cookOn: '2026-11-28',
  shareOn: '2026-11-30',
  swapUntil: '2026-12-05',
  settleOn: '2026-12-06',
};

describe('where a round is', () => {
  it('follows the stage of the books up to the share-out', () => {
    expect(stripStage({ ...dates, stage: 'planning' }, '2026-11-20')).toBe('plan');
    expect(stripStage({ ...dates, stage: 'cooking' }, '2026-11-20')).toBe('cook');
    expect(stripStage({ ...dates, stage: 'settled' }, '2026-11-20')).toBe('account');
  });

  it('is sharing out for as long as the share-out is missing, however late', () => {
    const openPoints = [{ code: 'share-out-missing' as const, blocks: true, facts: {}, remedy: null }];
    expect(stripStage({ ...dates, stage: 'sharing', openPoints }, '2026-12-31')).toBe('share-out');
  });

  it('is swapping until the last day for it, and settling after', () => {
    expect(stripStage({ ...dates, stage: 'sharing', openPoints: [] }, '2026-12-05')).toBe('swap');
    expect(stripStage({ ...dates, stage: 'sharing', openPoints: [] }, '2026-12-06')).toBe('account');
  });
});

describe('the current round', () => {
  it('is the earliest that is not settled', () => {
    const rounds = [
      { number: 3, stage: 'planning' as const },
      { number: 1, stage: 'settled' as const },
      { number: 2, stage: 'sharing' as const },
    ];
    expect(currentRound(rounds)?.number).toBe(2);
  });

  it('is the last one where all are settled, and none where there is none', () => {
    expect(
      currentRound([
        { number: 1, stage: 'settled' as const },
        { number: 2, stage: 'settled' as const },
      ])?.number,
    ).toBe(2);
    expect(currentRound([])).toBeUndefined();
  });

  it('ends with settling', () => {
    expect(stageAfter('sharing')).toBe('settled');
    expect(stageAfter('settled')).toBeUndefined();
  });
});
