import { Fragment } from 'react';

/** Codes as they stand on labels: left to right in every language, never broken at their hyphens, and no line begins with a dot. */
export const LabelCodes = ({ codes }: { codes: readonly string[] }) => (
  <>
    {codes.map((code, index) => (
      <Fragment key={code}>
        {index > 0 && '\u00A0· '}
        <bdi className="label-code">{code}</bdi>
      </Fragment>
    ))}
  </>
);
