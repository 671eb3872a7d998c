/**
 * Every reason for which the domain refuses something, as a stable code; the one list that the API maps to HTTP and the screens to words.
 * A code never changes its meaning; a new reason gets a new code at the end of its group.
 */
export const domainErrorCodes = [
  // What a calculation refuses.
  'invalid-input',
  'unknown-unit',
  'units-incompatible',
  'density-missing',
  'unknown-density',
  'unknown-yield',
  'sources-mixed',
  'unknown-recipe',
  'recipe-cycle',
  'too-deep',
  'duplicate-id',
  'past-use-by',
  'ledger-unbalanced',
  'yield-missing',
  'no-offer',
  // What cannot be read at all.
  'not-json',
  'too-large',
  'unknown-command',
  // Who asks, and how.
  'not-found',
  'not-signed-in',
  'wrong-credentials',
  'forbidden',
  'too-many-attempts',
  'email-taken',
  'precondition-required',
  'precondition-failed',
  'idempotency-key-missing',
  'idempotency-key-reused',
  'idempotency-key-in-use',
  // Where the round stands.
  'round-stage',
  'round-not-ready',
  'already-confirmed',
  'participant-missing',
  'household-left',
  // Containers, claims and swaps.
  'container-taken',
  'container-not-free',
  'over-allowance',
  'excluded-food',
  'claims-closed',
  'claims-not-yet',
  'claims-over',
  'no-claims',
  'container-kept',
  'none-left',
  'swap-closed',
  'not-swappable',
  // Turns of the rota.
  'rota-limits',
  'turn-moved',
  // The rest.
  'conflict',
  'unavailable',
  'interrupted',
  'took-too-long',
] as const;

export type DomainErrorCode = (typeof domainErrorCodes)[number];

/** One thing that is wrong with an input: where (JSON pointer as a fragment, `#/lines/0/amount`; `#` is the whole) and what, in a sentence. */
export interface InputFault {
  pointer: string;
  detail: string;
  code?: string;
  /** the values that words for the code need: { least }, { most } */
  params?: Record<string, string | number>;
}

export interface DomainErrorDetails {
  errors?: readonly InputFault[];
  params?: Record<string, string | number>;
}

/**
 * The one error of the domain: a stable code, a sentence, what is wrong where, and values for a translated sentence.
 * It knows nothing of HTTP; whoever answers maps the code.
 */
export class DomainError extends Error {
  readonly code: DomainErrorCode;
  readonly errors: readonly InputFault[];
  readonly params?: Record<string, string | number>;

  constructor(code: DomainErrorCode, message: string, details: DomainErrorDetails = {}) {
    super(message);
    this.name = 'DomainError';
    this.code = code;
    this.errors = details.errors ?? [];
    if (details.params) this.params = details.params;
  }
}
