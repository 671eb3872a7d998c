export { DomainError, domainErrorCodes } from './domain-error.ts';
export type { DomainErrorCode, DomainErrorDetails, InputFault } from './domain-error.ts';
export * as rational from './rational.ts';
export type { Rational } from './rational.ts';
export { byCodeUnits, canonicalJson, sortedRecord } from './canonical.ts';
export type { JsonValue } from './canonical.ts';
export * from './dates/civil-date.ts';
