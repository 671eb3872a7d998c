const initial = [
  0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a, 0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19,
] as const;

const roundConstants = new Uint32Array([
  0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5, 0xd807aa98,
  0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174, 0xe49b69c1, 0xefbe4786,
  0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da, 0x983e5152, 0xa831c66d, 0xb00327c8,
  0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967, 0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13,
  0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85, 0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819,
  0xd6990624, 0xf40e3585, 0x106aa070, 0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a,
  0x5b9cca4f, 0x682e6ff3, 0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7,
  0xc67178f2,
]);

/** UTF-8 octets of a text; calc has no platform to ask. Lone surrogates become U+FFFD as in the WHATWG encoding standard. */
function utf8(text: string): number[] {
  const octets: number[] = [];
  for (const character of text) {
    let code = character.codePointAt(0) ?? 0;
    if (code >= 0xd800 && code <= 0xdfff) code = 0xfffd;
    if (code < 0x80) octets.push(code);
    else if (code < 0x800) octets.push(0xc0 | (code >> 6), 0x80 | (code & 63));
    else if (code < 0x10000) octets.push(0xe0 | (code >> 12), 0x80 | ((code >> 6) & 63), 0x80 | (code & 63));
    else {
      octets.push(0xf0 | (code >> 18), 0x80 | ((code >> 12) & 63), 0x80 | ((code >> 6) & 63), 0x80 | (code & 63));
    }
  }
  return octets;
}

function padded(text: string): Uint8Array {
  const octets = utf8(text);
  const bytes = new Uint8Array(Math.ceil((octets.length + 9) / 64) * 64);
  bytes.set(octets);
  bytes[octets.length] = 0x80;
  new DataView(bytes.buffer).setBigUint64(bytes.length - 8, BigInt(octets.length) * 8n);
  return bytes;
}

const rotate = (x: number, by: number): number => (x >>> by) | (x << (32 - by));

function schedule(view: DataView, block: number): Uint32Array {
  const words = new Uint32Array(64);
  for (let i = 0; i < 16; i++) words[i] = view.getUint32(block + i * 4);
  for (let i = 16; i < 64; i++) {
    const w15 = words[i - 15] ?? 0;
    const w2 = words[i - 2] ?? 0;
    const s0 = rotate(w15, 7) ^ rotate(w15, 18) ^ (w15 >>> 3);
    const s1 = rotate(w2, 17) ^ rotate(w2, 19) ^ (w2 >>> 10);
    words[i] = (words[i - 16] ?? 0) + s0 + (words[i - 7] ?? 0) + s1;
  }
  return words;
}

function compress(state: Uint32Array, words: Uint32Array): void {
  let [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0, g = 0, h = 0] = state;
  for (let i = 0; i < 64; i++) {
    const s1 = rotate(e, 6) ^ rotate(e, 11) ^ rotate(e, 25);
    const t1 = (h + s1 + ((e & f) ^ (~e & g)) + (roundConstants[i] ?? 0) + (words[i] ?? 0)) | 0;
    const s0 = rotate(a, 2) ^ rotate(a, 13) ^ rotate(a, 22);
    const t2 = (s0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [h, g, f, e, d, c, b, a] = [g, f, e, (d + t1) | 0, c, b, a, (t1 + t2) | 0];
  }
  [a, b, c, d, e, f, g, h].forEach((value, i) => (state[i] = (state[i] ?? 0) + value));
}

/**
 * SHA-256 of a text in UTF-8, as 64 lower-case hexadecimal digits. It draws lots, it protects nothing.
 * Source: FIPS 180-4. `text`: any text.
 */
export function sha256(text: string): string {
  const bytes = padded(text);
  const view = new DataView(bytes.buffer);
  const state = new Uint32Array(initial);
  for (let block = 0; block < bytes.length; block += 64) compress(state, schedule(view, block));
  return [...state].map((word) => word.toString(16).padStart(8, '0')).join('');
}
