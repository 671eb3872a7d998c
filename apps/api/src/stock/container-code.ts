/** What stands on the label: the batch's lot code and the container's number in it. */
export const codeOf = (lotCode: string, number: number): string => `${lotCode}-${number}`;
