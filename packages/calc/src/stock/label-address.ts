/** What marks a cooperative on a label: the last eight digits of its id, which are random in a UUID of version 7 (RFC 9562). */
const MARK_DIGITS = 8;
const ADDRESS = /\/L\/([0-9A-F]{8})\/([0-9A-Z-]+)\/?$/;

export const cooperativeMark = (cooperativeId: string): string => cooperativeId.slice(-MARK_DIGITS).toUpperCase();

/**
 * The address in the QR code of a label: `HTTPS://FROST.EXAMPLE/L/1A2B3C4D/R14-B2-3`, which any telephone opens as well. In capitals, since those take 5.5 bits of the
 * code each instead of 8 (ISO/IEC 18004, alphanumeric mode); scheme and host mean the same in capitals (RFC 3986, section 6.2.2.1).
 */
export const labelAddress = (origin: string, cooperativeId: string, code: string): string =>
  `${origin}/L/${cooperativeMark(cooperativeId)}/${code}`.toUpperCase();

/** What a QR code says when it is that of a label, whatever host printed it: the cooperative's mark and the container's code; null for anything else. */
export function readLabelAddress(text: string): { mark: string; code: string } | null {
  const [, mark, code] = ADDRESS.exec(text.trim().toUpperCase()) ?? [];
  return mark === undefined || code === undefined ? null : { mark, code };
}
