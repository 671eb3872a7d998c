/** A container by its number on the label and its size. */
export interface CountedContainer {
  id: string;
  number: number;
  portions: number;
}

/** Which early claim goes on with which container, and which have none. */
export interface KeptClaims<Claim> {
  kept: { claim: Claim; container: CountedContainer }[];
  lost: Claim[];
}

/**
 * What becomes of claims when their batch is counted anew: whoever claimed first keeps a container of the same size, if there is one; the same number where
 * it is there, else one that no other claim was on. `claims` are in the order in which they were made. Method: greedy by time, which keeps as many of a size as
 * there are containers of it. Our decision, ADR 70.
 */
export function keptClaims<Claim extends Omit<CountedContainer, 'id'>>(
  claims: readonly Claim[],
  containers: readonly CountedContainer[],
): KeptClaims<Claim> {
  const free = new Set(containers);
  const result: KeptClaims<Claim> = { kept: [], lost: [] };
  const waits = new Set(claims.map(({ number }) => number));
  for (const claim of claims) {
    waits.delete(claim.number);
    const same = [...free].filter(({ portions }) => portions === claim.portions);
    const container =
      same.find(({ number }) => number === claim.number) ?? same.find(({ number }) => !waits.has(number)) ?? same[0];
    if (container) {
      free.delete(container);
      result.kept.push({ claim, container });
    } else result.lost.push(claim);
  }
  return result;
}
