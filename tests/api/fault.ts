import type { Problem } from '@frostmoot/contract';

/** A refusal in short: status, code, and where. */
export const fault = ({ status, body }: { status: number; body: Problem }): (string | number)[] => [
  status,
  body.code,
  ...(body.errors ?? []).map(({ pointer }) => pointer),
];
