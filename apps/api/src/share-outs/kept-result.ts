/** The answer of the share-out as it is kept: rationals as text, by household and lot. */
export interface KeptResult {
  proof: string;
  entitlement: Record<string, string>;
  target: Record<string, string>;
  received: Record<string, string>;
  owedAfter: Record<string, string>;
  short: Record<string, string>;
  containers: Record<string, Record<string, number>>;
  unallotted: Record<string, number>;
}
