import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Programs of others that read what we print: Poppler draws and reads PDFs, ZBar reads QR codes. Neither shares code with what made them. */
function run(program: string, args: readonly string[]): string {
  const { error, status, stdout, stderr } = spawnSync(program, args, { encoding: 'utf8', maxBuffer: 64 * 1024 * 1024 });
  if (error) {
    throw new Error(`${program} is not installed. On Debian and Ubuntu: apt-get install -y poppler-utils zbar-tools`, {
      cause: error,
    });
  }
  if (status !== 0) throw new Error(`${program} ended with ${String(status)}: ${stderr}`);
  return stdout;
}

/** Gives the work a folder of its own, gone afterwards. */
function inFolder<T>(pdf: Uint8Array, work: (file: string, folder: string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), 'frostmoot-print-'));
  try {
    const file = join(folder, 'print.pdf');
    writeFileSync(file, pdf);
    return work(file, folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

const pagesOf = (folder: string): string[] =>
  readdirSync(folder)
    .filter((name) => name.startsWith('page'))
    .sort()
    .map((name) => join(folder, name));

/**
 * The text of each page, its lines joined by single spaces, as a reader's program gets it. Poppler 22 turns the letters of an Arabic ligature round, so words with one
 * are not to be looked for.
 */
export const pageTexts = (pdf: Uint8Array): string[] =>
  inFolder(pdf, (file) =>
    run('pdftotext', [file, '-'])
      .split('\f')
      .slice(0, -1)
      .map((text) =>
        text
          .replace(/[\u200e\u200f\u202a-\u202e\u2066-\u2069]/g, '')
          .replace(/\s+/g, ' ')
          .trim(),
      ),
  );

export interface Word {
  page: number;
  left: number;
  top: number;
  right: number;
  bottom: number;
}

/** Where each word stands, in millimetres from the top left of its page. */
export const wordPlaces = (pdf: Uint8Array): Word[] =>
  inFolder(pdf, (file) =>
    run('pdftotext', ['-bbox', file, '-'])
      .split('<page ')
      .slice(1)
      .flatMap((page, index) =>
        [...page.matchAll(/xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)"/g)].map((found) => {
          const [left, top, right, bottom] = found.slice(1).map((points) => (Number(points) / 72) * 25.4) as [
            number,
            number,
            number,
            number,
          ];
          return { page: index, left, top, right, bottom };
        }),
      ),
  );

/** What every QR code of the pages says, drawn at 203 dots to the inch as a plain label printer has them. */
export const qrTexts = (pdf: Uint8Array): string[] =>
  inFolder(pdf, (file, folder) => {
    run('pdftoppm', ['-r', '203', '-gray', file, join(folder, 'page')]);
    return run('zbarimg', ['--quiet', '--raw', ...pagesOf(folder)])
      .trim()
      .split('\n')
      .sort();
  });

const FILM = { width: 640, height: 480 };

/** A film for a camera that is not there: the page of a PDF held still before it, as a YUV4MPEG2 file, which Chromium plays in a circle. */
export const filmOfPage = (pdf: Uint8Array, page: number): Buffer =>
  inFolder(pdf, (file, folder) => {
    const only = ['-f', String(page + 1), '-l', String(page + 1)];
    run('pdftoppm', ['-r', '150', '-gray', ...only, file, join(folder, 'page')]);
    const image = readFileSync(pagesOf(folder)[0] ?? '');
    const [head = '', width = '0', height = '0'] = /^P5\s+(\d+)\s+(\d+)\s+255\s/.exec(image.toString('latin1')) ?? [];
    const frame = Buffer.alloc(FILM.width * FILM.height, 120);
    const [left, top] = [(FILM.width - Number(width)) >> 1, (FILM.height - Number(height)) >> 1];
    for (let row = 0; row < Number(height); row += 1) {
      const from = head.length + row * Number(width);
      image.copy(frame, (top + row) * FILM.width + left, from, from + Number(width));
    }
    const colourless = Buffer.alloc(frame.length / 2, 128);
    const header = `YUV4MPEG2 W${FILM.width} H${FILM.height} F10:1 Ip A1:1 C420jpeg\n`;
    const second = Array.from({ length: 10 }, () => [Buffer.from('FRAME\n'), frame, colourless]).flat();
    return Buffer.concat([Buffer.from(header), ...second]);
  });
