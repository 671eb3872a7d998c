import bidiFactory, { type Bidi } from 'bidi-js';
import type PDFDocument from 'pdfkit';
import { partFor, type FontPart, type Weight } from './fonts.ts';

export type Direction = 'ltr' | 'rtl';

/** What is drawn in one go: one font, one direction, no space inside. Widths are of type one point high. */
interface Item {
  /** in the order in which it is read */
  text: string;
  part: FontPart;
  font: string;
  level: number;
  width: number;
}

/** A word in the order in which it is read, in pieces of one font and one level. */
interface Word {
  word: Item[];
  width: number;
  /** the level of the space before it */
  spaceLevel: number;
}

export interface Line {
  items: Item[];
  /** at one point of type */
  width: number;
  /** whether it ends inside a word, which goes on in the next */
  isBroken: boolean;
}

/** The package's one export is the function itself, which its types take for a member. */
const bidi = (bidiFactory as unknown as () => Bidi)();
const graphemes = new Intl.Segmenter('und', { granularity: 'grapheme' });
/** Marks that steer the direction (Unicode UAX #9) and have no glyph. */
const UNSEEN = /^[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]$/;
const ARABIC_DIGITS = /[\u0660-\u0669\u06f0-\u06f9]/;
const HAS_OWN_DIRECTION = /[\p{Script=Arabic}\p{Script=Hebrew}]/u;

/** Sets lines of text in any of the fonts' scripts: broken at spaces, ordered by the Unicode Bidirectional Algorithm (UAX #9), Arabic shaped by its font. */
export class TypeSetter {
  private readonly widths = new Map<string, number>();
  private readonly known = new Map<string, readonly Word[]>();
  private readonly registered = new Set<string>();

  constructor(
    private readonly document: InstanceType<typeof PDFDocument>,
    private readonly direction: Direction,
  ) {}

  /**
   * Breaks a text into lines. `room` gives the width of the line with that number, in points of type one point high; a word that is longer than a line is broken
   * inside.
   */
  lines(text: string, weight: Weight, room: (line: number) => number): Line[] {
    const done: Line[] = [];
    let line: Item[] = [];
    let width = 0;
    const end = (isBroken: boolean) => {
      done.push({ items: line, width, isBroken });
      [line, width] = [[], 0];
    };
    const space = this.widthOf(' ', partFor(' '), weight);
    for (const { word, width: wanted, spaceLevel } of this.words(text, weight)) {
      if (line.length > 0 && width + space.width + wanted > room(done.length)) end(false);
      if (line.length > 0) {
        line.push({ text: ' ', level: spaceLevel, ...space });
        width += space.width;
      }
      if (wanted <= room(done.length)) {
        line.push(...word);
        width += wanted;
        continue;
      }
      // Only an empty line comes here, so what is in it is of the same word.
      for (const piece of this.inPieces(word, weight)) {
        const longer = this.joined(line, piece, weight);
        if (line.length > 0 && widthOfAll(longer) > room(done.length)) {
          end(true);
          line = [piece];
        } else line = longer;
        width = widthOfAll(line);
      }
    }
    if (line.length > 0) end(false);
    return done;
  }

  /** Draws a line with its baseline at `y`, from the side on which its language begins to read. */
  draw({ items, width }: Line, size: number, left: number, right: number, y: number): void {
    let x = this.direction === 'rtl' ? right - width * size : left;
    for (const { text, font, level, width: own } of inVisualOrder(items)) {
      if (text !== ' ') {
        const given = shown(text, level);
        this.document.font(font).fontSize(size).text(given, x, y, { lineBreak: false, baseline: 'alphabetic' });
      }
      x += own * size;
    }
  }

  /** The words of a text, kept, since a text is set at one size after the other until it fits. */
  private words(text: string, weight: Weight): readonly Word[] {
    const key = `${weight} ${text}`;
    const words = this.known.get(key) ?? this.readWords(text, weight);
    this.known.set(key, words);
    return words;
  }

  private readWords(text: string, weight: Weight): Word[] {
    const { levels } = bidi.getEmbeddingLevels(text, this.direction);
    const words: Word[] = [];
    let word: { text: string; part: FontPart; level: number }[] = [];
    let spaceLevel = 0;
    const end = () => {
      const items = word.map(({ text: own, part, level }) => this.item(own, part, weight, level));
      if (items.length > 0) words.push({ word: items, width: widthOfAll(items), spaceLevel });
      word = [];
    };
    for (const { segment, index } of graphemes.segment(text)) {
      if (/^\s+$/u.test(segment)) {
        end();
        spaceLevel = levels[index] ?? 0;
      } else if (!UNSEEN.test(segment)) {
        const last = word.at(-1);
        const [part, level] = [partFor(segment, last?.part), levels[index] ?? 0];
        if (last?.part === part && last.level === level) last.text += segment;
        else word.push({ text: segment, part, level });
      }
    }
    end();
    return words;
  }

  /** A word too long for any line, in pieces of a character each. */
  private inPieces(word: readonly Item[], weight: Weight): Item[] {
    return word.flatMap(({ text, part, level }) =>
      [...graphemes.segment(text)].map(({ segment }) => this.item(segment, part, weight, level)),
    );
  }

  /** The pieces with one more, in one with the last where both are drawn alike, since Arabic letters are joined only within what is drawn in one go. */
  private joined(pieces: readonly Item[], next: Item, weight: Weight): Item[] {
    const last = pieces.at(-1);
    if (last?.part !== next.part || last.level !== next.level) return [...pieces, next];
    return [...pieces.slice(0, -1), this.item(last.text + next.text, next.part, weight, next.level)];
  }

  private item(text: string, part: FontPart, weight: Weight, level: number): Item {
    return { text, level, ...this.widthOf(shown(text, level), part, weight) };
  }

  private widthOf(text: string, part: FontPart, weight: Weight): Pick<Item, 'part' | 'font' | 'width'> {
    const font = `${part.name}-${weight}`;
    const key = `${font} ${text}`;
    let width = this.widths.get(key);
    if (width === undefined) {
      if (!this.registered.has(font)) this.document.registerFont(font, part.font(weight));
      this.registered.add(font);
      // Measured large, since it is rounded.
      width = this.document.font(font).fontSize(1000).widthOfString(text) / 1000;
      this.widths.set(key, width);
    }
    return { part, font, width };
  }
}

const widthOfAll = (items: readonly Item[]): number => items.reduce((sum, { width }) => sum + width, 0);

/** Rule L2 of UAX #9: from the highest level down, every run at that level or above is turned round. */
function inVisualOrder(items: readonly Item[]): Item[] {
  const order = [...items];
  const highest = Math.max(0, ...items.map(({ level }) => level));
  for (let level = highest; level >= 1; level -= 1) {
    for (let start = 0; start < order.length; start += 1) {
      let end = start;
      while (end < order.length && (order[end]?.level ?? 0) >= level) end += 1;
      if (end > start) order.splice(start, end - start, ...order.slice(start, end).reverse());
      start = end;
    }
  }
  return order;
}

/**
 * What the font is given. It turns round what it takes for Arabic or Hebrew by itself, which is right for words and wrong for Arabic digits, since those are read from
 * the left (UAX #9, class AN); brackets of a right-to-left run are mirrored (rule L4).
 */
function shown(text: string, level: number): string {
  const turned = [...text].reverse().join('');
  if (level % 2 === 0) return ARABIC_DIGITS.test(text) ? turned : text;
  const from = HAS_OWN_DIRECTION.test(text) ? text : turned;
  return [...from].map((character) => bidi.getMirroredCharacter(character) ?? character).join('');
}
