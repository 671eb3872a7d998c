import { DomainError, invalidInput, labelSheets, type LabelSheetName } from '@frostmoot/calc';
import { once } from 'node:events';
import { setImmediate } from 'node:timers/promises';
import PDFDocument from 'pdfkit';
import { qrCode } from '../platform/print/qr-code.ts';
import { TypeSetter } from '../platform/print/type-setter.ts';
import { drawLabel, fromMillimetres, type Box } from './label-layout.ts';
import type { LabelTexts } from './label-words.ts';

export interface Label {
  dish: string;
  texts: LabelTexts;
  address: string;
}

export interface LabelOrder {
  title: string;
  language: 'en' | 'es' | 'ar';
  sheet: LabelSheetName;
  /** the first place of the first sheet that is still free, from one */
  first: number;
  madeAt: Date;
}

/** Tenths of a millimetre in points. */
const fromTenths = (tenths: number): number => fromMillimetres(tenths / 10);

/**
 * Labels as a PDF of as many pages as are needed. Refuses with `invalid-input` a first place that the sheet has not, and the dishes whose words do not fit; nothing is
 * ever cut.
 */
export async function labelPdf(labels: readonly Label[], order: LabelOrder): Promise<Buffer> {
  const { title, language, sheet, first, madeAt } = order;
  const direction = language === 'ar' ? 'rtl' : 'ltr';
  const places = placesOf(sheet, direction === 'rtl');
  if (first > places.length) {
    throw invalidInput([{ pointer: '#/first', detail: `This sheet has ${places.length} labels only.` }]);
  }
  const [width, height] = labelSheets[sheet].page.map(fromTenths) as [number, number];
  const document = new PDFDocument({
    autoFirstPage: false,
    margin: 0,
    size: [width, height],
    lang: language,
    displayTitle: true,
    info: { Title: title, Creator: 'Frostmoot', CreationDate: madeAt },
  });
  const chunks: Buffer[] = [];
  document.on('data', (chunk: Buffer) => chunks.push(chunk));
  const setter = new TypeSetter(document, direction);
  const tooLong = new Set<string>();
  for (const [index, { dish, texts, address }] of labels.entries()) {
    const place = (index + first - 1) % places.length;
    if (index === 0 || place === 0) document.addPage();
    const box = places[place] as Box;
    if (!drawLabel(document, setter, { texts, code: qrCode(address), direction, box })) tooLong.add(dish);
    // Whoever asks for something else meanwhile is answered in between.
    await setImmediate();
  }
  document.end();
  await once(document, 'end');
  if (tooLong.size > 0) refuse([...tooLong]);
  return Buffer.concat(chunks);
}

function refuse(dishes: readonly string[]): never {
  const names = dishes.join(', ');
  const detail = `What must be said of ${names} does not fit on this label; choose a larger one.`;
  throw new DomainError('invalid-input', 'The label is too small', {
    errors: [{ pointer: '#/sheet', detail, code: 'label-too-small', params: { dishes: names } }],
  });
}

/** The places of a sheet in the order in which its language reads. */
function placesOf(name: LabelSheetName, fromRight: boolean): Box[] {
  const { page, label, columns, rows, gap } = labelSheets[name];
  const left = (page[0] - columns * label[0] - (columns - 1) * gap) / 2;
  const top = (page[1] - rows * label[1]) / 2;
  return Array.from({ length: columns * rows }, (_, index) => {
    const column = fromRight ? columns - 1 - (index % columns) : index % columns;
    return {
      x: fromTenths(left + column * (label[0] + gap)),
      y: fromTenths(top + Math.floor(index / columns) * label[1]),
      width: fromTenths(label[0]),
      height: fromTenths(label[1]),
    };
  });
}
