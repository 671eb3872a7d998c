import { Fragment } from 'react';

/** Codes as they stand on labels: left to right in every language, and never broken at their hyphens. */
export const LabelCodes = ({ codes }: { codes: readonly string[] }) => (
  <>
    {codes.map((code, index) => (
      <Fragment key={code}>
        {index > 0 && ' · '}
        <bdi className="label-code">{code}</bdi>
      </Fragment>
    ))}
  </>
);
