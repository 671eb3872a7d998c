import type { Rational } from '../rational.ts';
import { abs, add, cmp, format, mul, rational, sub, tryParse, zero } from '../rational.ts';
import type { SwapMatchInput, SwapOffer, SwapWant } from './swap-input.ts';
import { readSwapMatch } from './swap-input.ts';
import type { SwapMatchOutput } from './swap-match.ts';
import { couldMoveMore } from './verify-nothing-more.ts';

/** One thing that a matching gets wrong: what, and where. */
export interface SwapMatchViolation {
  code:
    | 'unknown-offer'
    | 'unknown-want'
    | 'not-a-count'
    | 'move-twice'
    | 'wrong-dish'
    | 'own-dish'
    | 'excluded-food'
    | 'offer-overdrawn'
    | 'want-overfilled'
    | 'balance-wrong'
    | 'over-credit'
    | 'ring-wrong'
    | 'ring-too-long'
    | 'ring-missing'
    | 'move-outside-rings'
    | 'bound-wrong'
    | 'proof-unknown'
    | 'could-move-more';
  offer?: string;
  want?: string;
  household?: string;
}

type Report = (code: SwapMatchViolation['code'], where?: Omit<SwapMatchViolation, 'code'>) => void;

interface Move {
  offer: SwapOffer;
  want: SwapWant;
  containers: number;
}

const times = (count: number, value: Rational): Rational => mul(rational(BigInt(count)), value);

const offersDish = ({ offers }: SwapMatchInput, household: string, dish: string): boolean =>
  offers.some((offer) => offer.household === household && offer.dish === dish);

const excludes = (input: SwapMatchInput, household: string, dish: string): boolean =>
  input.excludes.get(household)?.has(dish) ?? false;

function readMoves(input: SwapMatchInput, output: SwapMatchOutput, report: Report): Move[] {
  const seen = new Set<string>();
  return output.moves.flatMap((move) => {
    const where = { offer: move.offer, want: move.want };
    const offer = input.offers.find(({ id }) => id === move.offer);
    const want = input.wants.find(({ id }) => id === move.want);
    if (!offer) report('unknown-offer', where);
    if (!want) report('unknown-want', where);
    const isCount = Number.isSafeInteger(move.containers) && move.containers > 0;
    if (!isCount) report('not-a-count', where);
    const key = JSON.stringify([move.offer, move.want]);
    if (seen.has(key)) report('move-twice', where);
    seen.add(key);
    return offer && want && isCount ? [{ offer, want, containers: move.containers }] : [];
  });
}

function checkMoves(input: SwapMatchInput, moves: readonly Move[], report: Report): void {
  for (const { offer, want } of moves) {
    const where = { offer: offer.id, want: want.id };
    if (offer.dish !== want.dish) report('wrong-dish', where);
    if (offersDish(input, want.household, want.dish)) report('own-dish', where);
    if (excludes(input, want.household, offer.dish)) report('excluded-food', where);
  }
  const sum = (of: (move: Move) => boolean): number =>
    moves.filter(of).reduce((total, { containers }) => total + containers, 0);
  for (const { id, containers } of input.offers)
    if (sum(({ offer }) => offer.id === id) > containers) report('offer-overdrawn', { offer: id });
  for (const { id, containers } of input.wants)
    if (sum(({ want }) => want.id === id) > containers) report('want-overfilled', { want: id });
}

function checkBalances(
  input: SwapMatchInput,
  output: SwapMatchOutput,
  moves: readonly Move[],
  report: Report,
): Map<string, Rational> {
  const balance = new Map([...input.offers, ...input.wants].map(({ household }) => [household, zero]));
  for (const { offer, want, containers } of moves) {
    const portions = times(containers, offer.portions);
    balance.set(offer.household, add(balance.get(offer.household) ?? zero, portions));
    balance.set(want.household, sub(balance.get(want.household) ?? zero, portions));
  }
  for (const [household, portions] of balance) {
    if (output.balance[household] !== format(portions)) report('balance-wrong', { household });
    if (cmp(abs(portions), input.creditPortions) > 0) report('over-credit', { household });
  }
  for (const household of Object.keys(output.balance))
    if (!balance.has(household)) report('balance-wrong', { household });
  return balance;
}

/** Whether what is left between households still has a ring in it: what cannot be reached any more is taken away until nothing changes. */
function hasRing(left: ReadonlyMap<string, number>): boolean {
  let arcs = [...left].filter(([, count]) => count > 0).map(([key]) => JSON.parse(key) as [string, string]);
  for (;;) {
    const givers = new Set(arcs.map(([from]) => from));
    const inner = arcs.filter(([, to]) => givers.has(to));
    if (inner.length === arcs.length) return arcs.length > 0;
    arcs = inner;
  }
}

function checkRings(input: SwapMatchInput, { rings }: SwapMatchOutput, moves: readonly Move[], report: Report): void {
  const left = new Map<string, number>();
  for (const { offer, want, containers } of moves) {
    const key = JSON.stringify([offer.household, want.household]);
    left.set(key, (left.get(key) ?? 0) + containers);
  }
  for (const ring of rings) {
    if (ring.length < 2 || new Set(ring).size !== ring.length) report('ring-wrong', { household: ring[0] });
    if (ring.length > (input.ringLimit ?? ring.length)) report('ring-too-long', { household: ring[0] });
    ring.forEach((from, i) => {
      const key = JSON.stringify([from, ring[(i + 1) % ring.length]]);
      left.set(key, (left.get(key) ?? 0) - 1);
      if ((left.get(key) ?? 0) < 0) report('ring-wrong', { household: from });
    });
  }
  if (input.ringLimit === undefined) {
    if (hasRing(left)) report('ring-missing');
  } else if ([...left.values()].some((count) => count > 0)) report('move-outside-rings');
}

/** What is called optimal must leave nothing that could obviously move too, and the bound must not be below what moves. */
function checkProof(
  input: SwapMatchInput,
  output: SwapMatchOutput,
  moves: readonly Move[],
  balance: ReadonlyMap<string, Rational>,
  report: Report,
): void {
  const moved = moves.reduce((total, { offer, containers }) => add(total, times(containers, offer.portions)), zero);
  const atMost = output.atMost === undefined ? undefined : tryParse(output.atMost);
  if (output.proof !== 'optimal' && output.proof !== 'bounded') report('proof-unknown');
  if ((output.proof === 'bounded') !== (atMost !== undefined)) report('bound-wrong');
  if (atMost && cmp(moved, atMost) > 0) report('bound-wrong');
  if (output.proof !== 'optimal') return;
  const leftOf = (id: string, containers: number, of: (move: Move) => string): [string, number] => [
    id,
    containers - moves.reduce((total, move) => (of(move) === id ? total + move.containers : total), 0),
  ];
  const left = {
    offers: new Map(input.offers.map(({ id, containers }) => leftOf(id, containers, ({ offer }) => offer.id))),
    wants: new Map(input.wants.map(({ id, containers }) => leftOf(id, containers, ({ want }) => want.id))),
    balance,
  };
  if (couldMoveMore(input, left)) report('could-move-more');
}

/**
 * Checks a matching from its input and output alone; it shares no code with matchSwaps but the reading of the input and the arithmetic of fractions.
 * Checks: only what was offered leaves and only what was wanted arrives, nobody gets what it excludes or offers itself; balances are what they are defined to be
 * and within the credit; rings are rings of the moves, with a ring limit short enough and all of them, without one all that there are; no bound is below what
 * moves; in an `optimal` matching nothing more could move without taking a move back (couldMoveMore). Gives every violation. Throws `invalid-input` when the input cannot be read.
 */
export function verifySwapMatch(given: unknown, output: SwapMatchOutput): SwapMatchViolation[] {
  const input = readSwapMatch(given);
  const violations: SwapMatchViolation[] = [];
  const report: Report = (code, where = {}) => void violations.push({ code, ...where });
  const moves = readMoves(input, output, report);
  checkMoves(input, moves, report);
  const balance = checkBalances(input, output, moves, report);
  checkRings(input, output, moves, report);
  checkProof(input, output, moves, balance, report);
  return violations;
}
