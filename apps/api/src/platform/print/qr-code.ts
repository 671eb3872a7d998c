import bwip, { type RawOptions } from 'bwip-js/node';
import type PDFDocument from 'pdfkit';

/** Light modules that must stay free around the symbol: ISO/IEC 18004:2015, 6.3.8. */
const QUIET_MODULES = 4;

export interface QrCode {
  /** rows of modules, dark ones true */
  modules: boolean[][];
}

/** A QR code (ISO/IEC 18004) with error correction M, which reads with about 15 % of it covered by frost or a fold. */
export function qrCode(text: string): QrCode {
  // Its types leave out what is for one kind of code only.
  const [symbol] = bwip.raw({ bcid: 'qrcode', text, eclevel: 'M' } as RawOptions);
  if (!symbol || !('pixs' in symbol)) throw new Error('The QR code has no modules');
  const { pixs, pixx } = symbol;
  const modules: boolean[][] = [];
  for (let row = 0; row < pixs.length / pixx; row += 1) {
    modules.push(pixs.slice(row * pixx, (row + 1) * pixx).map((pixel) => pixel === 1));
  }
  return { modules };
}

/** How wide the free margin around a code of that side is. */
export const quietZone = ({ modules }: QrCode, side: number): number => (side / modules.length) * QUIET_MODULES;

/** Draws the modules as black rectangles, those beside each other as one, so that no hairline shows between them. */
export function drawQrCode(
  document: InstanceType<typeof PDFDocument>,
  { modules }: QrCode,
  x: number,
  y: number,
  side: number,
): void {
  const size = side / modules.length;
  modules.forEach((row, rowIndex) => {
    for (let start = 0; start < row.length; start += 1) {
      let end = start;
      while (row[end]) end += 1;
      if (end > start) document.rect(x + start * size, y + rowIndex * size, (end - start) * size, size);
      start = end;
    }
  });
  document.fill('black');
}
