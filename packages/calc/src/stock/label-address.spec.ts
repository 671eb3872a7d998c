import { describe, expect, it } from '@jest/globals';
import { cooperativeMark, labelAddress, readLabelAddress } from './label-address.ts';

const COOPERATIVE = '01900000-0000-7000-8000-0000a1b2c3d4';

describe('the address on a label', () => {
  it('has nothing that the alphanumeric mode of a QR code lacks', () => {
    const address = labelAddress('https://frost.example:8443', COOPERATIVE, 'R14-B2-3');
    expect(address).toBe('HTTPS://FROST.EXAMPLE:8443/L/A1B2C3D4/R14-B2-3');
    // ISO/IEC 18004:2015, table 5: the 45 characters of the alphanumeric mode.
    expect(address).toMatch(/^[0-9A-Z $%*+\-./:]+$/);
  });

  it.each([
    ['as it is', labelAddress('https://frost.example', COOPERATIVE, 'R14-AB12-103'), 'R14-AB12-103'],
    ['as a browser writes it', 'https://frost.example/L/a1b2c3d4/R14-B2-3', 'R14-B2-3'],
    ['of another host of the same cooperative', ' HTTP://192.168.0.7:4310/L/A1B2C3D4/R1-A1-1/ ', 'R1-A1-1'],
  ])('is read %s', (_, text, code) => {
    expect(readLabelAddress(text)).toEqual({ mark: cooperativeMark(COOPERATIVE), code });
  });

  it.each(['', 'R14-B2-3', 'https://shop.example/milk', 'HTTPS://FROST.EXAMPLE/L/A1B2/R1-A1-1', 'WIFI:S:porch;;'])(
    'is not %p',
    (text) => {
      expect(readLabelAddress(text)).toBeNull();
    },
  );
});
