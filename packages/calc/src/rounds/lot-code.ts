/** A, B ... Z, AA, AB ...: the letter of the dish that stands at this place, counted from nil. */
export function dishLetter(index: number): string {
  const letter = String.fromCharCode('A'.charCodeAt(0) + (index % 26));
  return index < 26 ? letter : dishLetter(Math.trunc(index / 26) - 1) + letter;
}

/** The lot code of a batch, `R14-B2`: round 14, second dish, its second batch. Our decision; one cooperative never makes the same code twice. */
export const lotCode = (roundNumber: number, dishIndex: number, batchNumber: number): string =>
  `R${roundNumber}-${dishLetter(dishIndex)}${batchNumber}`;
