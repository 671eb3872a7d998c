import { inflateSync } from 'node:zlib';

const HEADER = 44;
const ENTRY = 20;
const SFNT_HEADER = 12;
const SFNT_ENTRY = 16;

interface Table {
  tag: string;
  checksum: number;
  bytes: Buffer;
}

/**
 * The OpenType font inside a WOFF file (W3C, WOFF File Format 1.0, sections 3 to 5): the same tables, unpacked. The PDF library would unpack them by itself, in
 * JavaScript, anew for every document, which takes a second.
 */
export function unpackWoff(woff: Buffer): Buffer {
  const tables = Array.from({ length: woff.readUInt16BE(12) }, (_, index): Table => {
    const at = HEADER + index * ENTRY;
    const [offset, packed, length] = [4, 8, 12].map((field) => woff.readUInt32BE(at + field)) as [
      number,
      number,
      number,
    ];
    const bytes = woff.subarray(offset, offset + packed);
    return {
      tag: woff.toString('latin1', at, at + 4),
      checksum: woff.readUInt32BE(at + 16),
      bytes: packed < length ? inflateSync(bytes) : bytes,
    };
  });
  const header = Buffer.alloc(SFNT_HEADER + tables.length * SFNT_ENTRY);
  woff.copy(header, 0, 4, 8);
  const power = 2 ** Math.floor(Math.log2(tables.length));
  header.writeUInt16BE(tables.length, 4);
  header.writeUInt16BE(power * SFNT_ENTRY, 6);
  header.writeUInt16BE(Math.log2(power), 8);
  header.writeUInt16BE((tables.length - power) * SFNT_ENTRY, 10);
  const parts: Uint8Array[] = [header];
  let end = header.length;
  tables.forEach(({ tag, checksum, bytes }, index) => {
    const at = SFNT_HEADER + index * SFNT_ENTRY;
    header.write(tag, at, 'latin1');
    header.writeUInt32BE(checksum, at + 4);
    header.writeUInt32BE(end, at + 8);
    header.writeUInt32BE(bytes.length, at + 12);
    // Tables begin at multiples of four.
    const padding = Buffer.alloc(-bytes.length & 3);
    parts.push(bytes, padding);
    end += bytes.length + padding.length;
  });
  return Buffer.concat(parts);
}
