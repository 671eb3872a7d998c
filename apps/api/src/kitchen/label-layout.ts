import type PDFDocument from 'pdfkit';
import type { QrCode } from '../platform/print/qr-code.ts';
import { drawQrCode, quietZone } from '../platform/print/qr-code.ts';
import type { Direction, Line, TypeSetter } from '../platform/print/type-setter.ts';
import type { LabelPart, LabelTexts } from './label-words.ts';

/** Points of 1/72 inch, as in a PDF. */
export const fromMillimetres = (millimetres: number): number => (millimetres / 25.4) * 72;

export interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

/** A small x is 1.2 mm high at least: Regulation (EU) No 1169/2011, article 13(2). Noto Sans has an x of 0.536 of its size. */
const LEAST_SIZE = fromMillimetres(1.2) / 0.536;
const LARGEST = 16;
/** Below it every part has its least size. */
const SMALLEST = 4;
const STEP = 0.25;
/** No printer reaches the edge of its paper. */
const EDGE = fromMillimetres(3);
const LARGEST_CODE = fromMillimetres(30);
/** Where the baseline stands in a line, and how high a line is, in sizes; Arabic reaches farther up and down. */
const BASELINE: Record<Direction, number> = { ltr: 0.93, rtl: 1 };
const LEADING: Record<Direction, number> = { ltr: 1.18, rtl: 1.36 };

interface Placed {
  line: Line;
  size: number;
  y: number;
  isNarrow: boolean;
}

/** Draws one label into a box: the QR code in the corner where lines end, the words beside and below it, as large as they fit; false when they do not, and then nothing is drawn. */
export function drawLabel(
  document: InstanceType<typeof PDFDocument>,
  setter: TypeSetter,
  { texts, code, direction, box }: { texts: LabelTexts; code: QrCode; direction: Direction; box: Box },
): boolean {
  const inside = { x: box.x + EDGE, y: box.y + EDGE, width: box.width - 2 * EDGE, height: box.height - 2 * EDGE };
  const side = Math.min(box.height * 0.4, box.width * 0.3, LARGEST_CODE);
  const taken = side + quietZone(code, side);
  const fit = (mayBreak: boolean) =>
    fitted(setter, texts.full, { direction, inside, taken, mayBreak }) ??
    fitted(setter, texts.short, { direction, inside, taken, mayBreak });
  // A broken word reads badly, so smaller type and fewer words come first.
  const placed = fit(false) ?? fit(true);
  if (!placed) return false;
  const right = inside.x + inside.width;
  for (const { line, size, y, isNarrow } of placed) {
    const left = isNarrow && direction === 'rtl' ? inside.x + taken : inside.x;
    setter.draw(line, size, left, isNarrow && direction === 'ltr' ? right - taken : right, inside.y + y);
  }
  drawQrCode(document, code, direction === 'rtl' ? inside.x : right - side, inside.y, side);
  return true;
}

/** The parts at the largest size at which they fit; undefined when they fit at none. */
function fitted(
  setter: TypeSetter,
  parts: readonly LabelPart[],
  { direction, inside, taken, mayBreak }: { direction: Direction; inside: Box; taken: number; mayBreak: boolean },
): Placed[] | undefined {
  for (let base = LARGEST; base >= SMALLEST; base -= STEP) {
    const placed: Placed[] = [];
    let y = 0;
    for (const { text, weight, times } of parts) {
      const size = Math.max(LEAST_SIZE, base * times);
      const height = size * LEADING[direction];
      const top = y;
      const isNarrow = (line: number) => top + line * height < taken;
      const room = (line: number) => (inside.width - (isNarrow(line) ? taken : 0)) / size;
      const lines = setter.lines(text, weight, room);
      lines.forEach((line, index) =>
        placed.push({ line, size, y: top + index * height + size * BASELINE[direction], isNarrow: isNarrow(index) }),
      );
      y += lines.length * height;
    }
    const isUnfit = placed.some(
      ({ line, size, isNarrow }) =>
        line.width * size > inside.width - (isNarrow ? taken : 0) + 0.01 || (line.isBroken && !mayBreak),
    );
    if (y <= inside.height && !isUnfit) return placed;
  }
  return undefined;
}
