const ARABIC_ZEROS = [0x0660, 0x06f0];

/** What was typed as it stands on a label: capitals, Latin digits, hyphens between the parts. */
export function labelCode(typed: string): string {
  return [...typed.trim().toUpperCase()]
    .map((character) => {
      const zero = ARABIC_ZEROS.find(
        (start) => character >= String.fromCharCode(start) && character <= String.fromCharCode(start + 9),
      );
      return zero === undefined ? character : String(character.charCodeAt(0) - zero);
    })
    .join('')
    .replace(/[\s\u2010-\u2015_/.]+/g, '-');
}
