import { type Fraction, nil, whole } from './fraction.ts';

/** What this test has seen happen to one household in one round. */
export interface OwnLine {
  round: number;
  due: Fraction;
  received: Fraction;
  swapped: Fraction;
  other: Fraction;
}

/** The portions of every household as this test counts them: it only adds up what it did and saw. */
export class OwnBooks {
  private readonly lines = new Map<string, OwnLine[]>();
  round = 0;

  add(name: string, kind: 'due' | 'received' | 'swapped' | 'other', portions: Fraction): void {
    const own = this.lines.get(name) ?? [];
    let line = own.at(-1);
    if (line?.round !== this.round) {
      line = { round: this.round, due: nil, received: nil, swapped: nil, other: nil };
      own.push(line);
    }
    line[kind] = line[kind].plus(portions);
    this.lines.set(name, own);
  }

  count(name: string, kind: 'received' | 'swapped' | 'other', portions: number): void {
    this.add(name, kind, whole(portions));
  }

  of(name: string): readonly OwnLine[] {
    return this.lines.get(name) ?? [];
  }

  balance(name: string): Fraction {
    return this.of(name).reduce(
      (sum, { due, received, swapped, other }) => sum.plus(due).minus(received).plus(swapped).plus(other),
      nil,
    );
  }
}
