/** Exact fractions of this test's own, so that what it reckons owes nothing to the calculations that it checks. */
export class Fraction {
  readonly n: bigint;
  readonly d: bigint;

  constructor(n: bigint | number, d: bigint | number = 1n) {
    const [top, bottom] = [BigInt(n), BigInt(d)];
    const sign = bottom < 0n ? -1n : 1n;
    const common = divisor(top < 0n ? -top : top, bottom * sign) * sign;
    this.n = top / common;
    this.d = bottom / common;
  }

  plus(other: Fraction): Fraction {
    return new Fraction(this.n * other.d + other.n * this.d, this.d * other.d);
  }

  minus(other: Fraction): Fraction {
    return new Fraction(this.n * other.d - other.n * this.d, this.d * other.d);
  }

  times(other: Fraction): Fraction {
    return new Fraction(this.n * other.n, this.d * other.d);
  }

  over(other: Fraction): Fraction {
    return new Fraction(this.n * other.d, this.d * other.n);
  }

  isLess(other: Fraction): boolean {
    return this.n * other.d < other.n * this.d;
  }

  /** In millionths, for comparing with the books; only ever shown and compared, never reckoned with further. */
  micro(): number {
    return Number((this.n * 1_000_000n) / this.d);
  }
}

function divisor(a: bigint, b: bigint): bigint {
  return b === 0n ? a : divisor(b, a % b);
}

export const nil = new Fraction(0);
export const whole = (count: number): Fraction => new Fraction(count);
export const sumOf = (parts: Iterable<Fraction>): Fraction => [...parts].reduce((sum, part) => sum.plus(part), nil);
