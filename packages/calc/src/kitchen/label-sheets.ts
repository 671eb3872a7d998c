/** Width, then height, in tenths of a millimetre. */
type Size = readonly [width: number, height: number];

export interface LabelSheet {
  page: Size;
  label: Size;
  columns: number;
  rows: number;
  /** tenths of a millimetre between columns; rows touch */
  gap: number;
}

const A4: Size = [2100, 2970];

/**
 * What labels are printed on: A4 sheets (ISO 216) in divisions that stationers commonly sell, the labels in the middle of the page, and pages of one label for
 * label printers. Sizes from memory, common practice.
 */
export const labelSheets = {
  'a4-14': { page: A4, label: [991, 381], columns: 2, rows: 7, gap: 25 },
  'a4-8': { page: A4, label: [991, 677], columns: 2, rows: 4, gap: 25 },
  'a4-24': { page: A4, label: [700, 370], columns: 3, rows: 8, gap: 0 },
  'single-100x62': { page: [1000, 620], label: [1000, 620], columns: 1, rows: 1, gap: 0 },
  'single-100x150': { page: [1000, 1500], label: [1000, 1500], columns: 1, rows: 1, gap: 0 },
} as const satisfies Record<string, LabelSheet>;

export type LabelSheetName = keyof typeof labelSheets;
export const labelSheetNames = Object.keys(labelSheets) as LabelSheetName[];
