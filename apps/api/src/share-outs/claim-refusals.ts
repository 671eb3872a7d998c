import { DomainError } from '@frostmoot/calc';
import type { DomainErrorCode, DomainErrorDetails } from '@frostmoot/calc';

type Params = NonNullable<DomainErrorDetails['params']>;

const sentences: Partial<Record<DomainErrorCode, (params: Params) => string>> = {
  'not-found': () => 'There is no such container or household',
  forbidden: () => 'Only the household itself or a coordinator may do this',
  'idempotency-key-reused': () => 'This Idempotency-Key was used for another request',
  'idempotency-key-in-use': () => 'The first request with this key is still running',
  'claims-closed': () => 'This round has not been shared out yet',
  'claims-not-yet': ({ opensAt }) => `Claims open at ${opensAt}`,
  'claims-over': ({ closedAt }) => `Claims closed at ${closedAt}`,
  'no-claims': () => 'This cooperative shares everything out and has no claims',
  'container-kept': ({ holder, until }) => `It is kept until ${until} for ${holder}, who waited for it`,
  'none-left': () => 'No container of this dish is free',
  'participant-missing': () => 'The household takes no part in the round of this container',
  'household-left': () => 'The household has left the cooperative; only what was set aside for it is still its own',
  'container-not-free': ({ state }) => `This container is not sealed any more: it is ${state}`,
  'container-taken': ({ holder, at }) => `${holder} have it since ${at}`,
  'over-allowance': ({ portions }) => `Another ${portions} portions would take the household too far ahead`,
  'excluded-food': ({ subjects }) => `Somebody of the household must not eat it: ${subjects}`,
  conflict: () => 'This container lies in the pool already',
};

/** The refusal of a claim or release as the domain's error. */
export function claimRefusal(code: DomainErrorCode, params: Params | null): DomainError {
  const sentence = sentences[code]?.(params ?? {}) ?? 'This container cannot be claimed or released';
  return new DomainError(code, sentence, params ? { params } : {});
}
