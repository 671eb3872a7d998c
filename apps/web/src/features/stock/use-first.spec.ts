import { describe, expect, it } from '@jest/globals';
import { rational } from '@frostmoot/calc';
import type { Container, EndedContainer } from './freezer-query.ts';
import { labelCode } from '../../lib/label-code.ts';
import { byPlace, endedOn, found, litresComing, inOrder } from './use-first.ts';

const container = (code: string, more: Partial<Container> = {}) =>
  ({
    id: code,
    code,
    dish: 'Pumpkin soup',
    recipeId: 'soup',
    portions: 2,
    bestBefore: '2027-02-14',
    place: '',
    claim: 'claimed',
    offered: false,
    millilitres: 800,
    state: 'sealed',
    ...more,
  }) as Container;

describe('the list of what to use first', () => {
  it('puts the earliest best-before first and equal containers in one row', () => {
    const rows = inOrder([
      container('R2-A1-1'),
      container('R1-C1-1', { bestBefore: '2027-01-10', dish: 'Chowder', recipeId: 'chowder' }),
      container('R2-A1-2'),
      container('R2-A1-3', { place: 'Top drawer' }),
      container('R2-A1-4', { offered: true }),
    ]);
    expect(rows.map(({ containers }) => containers.map(({ code }) => code))).toEqual([
      ['R1-C1-1'],
      ['R2-A1-1', 'R2-A1-2'],
      ['R2-A1-3'],
      ['R2-A1-4'],
    ]);
  });

  it.each([
    ['r2-b1-4', 'R2-B1-4'],
    [' R2 b1 4 ', 'R2-B1-4'],
    ['R2–B1–4', 'R2-B1-4'],
    ['R٢-B١-٤', 'R2-B1-4'],
    ['R۲-B۱-۴', 'R2-B1-4'],
  ])('reads %s as it stands on the label', (typed, code) => {
    expect(labelCode(typed)).toBe(code);
  });

  it('finds one container by its code, a batch by its own, and a dish by part of its name', () => {
    const all = [container('R1-A1-1'), container('R1-A1-11'), container('R1-A11-1', { dish: 'Crème of leek' })];
    const codes = (typed: string) => found(all, typed).map(({ code }) => code);
    expect(codes('r1-a1-1')).toEqual(['R1-A1-1']);
    expect(codes('R1-A1')).toEqual(['R1-A1-1', 'R1-A1-11']);
    expect(codes('creme')).toEqual(['R1-A11-1']);
    expect(codes('R9-A1-1')).toEqual([]);
  });

  it('counts as coming what is set aside and not claimed', () => {
    const litres = litresComing([
      container('a', { claim: 'held' }),
      container('b'),
      container('c', { claim: 'held', millilitres: null }),
    ]);
    expect(rational.format(litres)).toBe('4/5');
  });

  it('knows what was ended today in the cooperative’s zone', () => {
    const ended = [
      { ...container('a'), state: 'eaten', endedAt: '2026-10-31T23:30:00.000Z' },
      { ...container('b'), state: 'thrown-away', endedAt: '2026-10-12T12:00:00.000Z' },
    ] as EndedContainer[];
    const oneHourEast = (instant: string) => new Date(Date.parse(instant) + 3_600_000).toISOString().slice(0, 10);
    expect(endedOn(ended, '2026-11-01', oneHourEast).map(({ code }) => code)).toEqual(['a']);
  });

  it('groups by where things lie, what has no place last', () => {
    const rows = inOrder([
      container('R1-A1-1'),
      container('R1-A1-2', { place: 'Top drawer', bestBefore: '2027-03-01' }),
      container('R1-A1-3', { place: 'Chest', bestBefore: '2027-04-01' }),
      container('R1-A1-4', { place: 'Top drawer', bestBefore: '2027-01-01' }),
    ]);
    expect(byPlace(rows).map(([place, own]) => [place, own.map(({ first }) => first.code)])).toEqual([
      ['Chest', ['R1-A1-3']],
      ['Top drawer', ['R1-A1-4', 'R1-A1-2']],
      ['', ['R1-A1-1']],
    ]);
  });
});
