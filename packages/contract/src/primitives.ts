import { z } from 'zod';

/** An id of a thing: UUID in its text form; capitals mean the same (RFC 9562, section 4) and are read as small letters. */
export const id = z.uuid().toLowerCase().meta({ description: 'UUID' });

/** Money: integer minor units of the cooperative's currency as text, since JSON numbers are not exact. Error: `invalid-input`. */
export const minor = z
  .string()
  .regex(/^-?\d{1,18}$/)
  .meta({ description: 'integer minor units of the currency, as text', example: '1250' });

/** A difference of money that a person typed; six digits less than what the books can hold, so that a million of them still add up. */
export const minorDifference = z
  .string()
  .regex(/^-?\d{1,12}$/)
  .meta({ description: 'integer minor units of the currency, as text', example: '-250' });

/** Money that a person typed and that may not be negative, in minor units as text; as short as a typed difference. */
export const minorAtLeastNil = z
  .string()
  .regex(/^\d{1,12}$/)
  .meta({ description: 'integer minor units of the currency, nil or more, as text', example: '1250' });

/** Portions in the books: integer micro-portions as text (1 portion = 1,000,000). */
export const micro = z
  .string()
  .regex(/^-?\d{1,18}$/)
  .meta({ description: 'integer micro-portions as text; one portion is 1000000', example: '2500000' });

/** An exact quantity: "7/2", "3.5" or "3"; at most 30 characters. */
export const rational = z
  .string()
  .max(60)
  .regex(/^-?\d+(\/[1-9]\d*|\.\d+)?$/)
  .meta({ description: 'exact rational as text: "7/2", "3.5" or "3"', example: '7/2' });

/** An exact quantity that may not be negative. */
export const rationalAtLeastNil = z
  .string()
  .max(30)
  .regex(/^\d+(\/[1-9]\d*|\.\d+)?$/)
  .meta({ description: 'exact rational as text, nil or more', example: '7/2' });

/** A date of the trade: ISO 8601 local date in the cooperative's time zone. */
export const localDate = z.iso
  .date()
  .refine((date) => date >= '0001', { message: 'Must be in the years 1 to 9999' })
  .meta({ description: 'ISO 8601 local date, in the years 1 to 9999', example: '2026-11-28' });

/** An instant, UTC. */
export const instant = z.iso.datetime().meta({ description: 'UTC instant', example: '2026-11-28T09:00:00.000Z' });

/** A short text that a person typed, trimmed, not empty. */
export const shortText = z.string().trim().min(1).max(120);

/** A longer text that a person typed; may be empty. */
export const longText = z.string().trim().max(4000);

/** Number of the version that a change must name in If-Match. */
export const version = z.int().min(1).meta({ description: 'goes into the ETag and comes back in If-Match' });

/** Locales with a message catalogue. */
export const locale = z.enum(['en', 'es', 'ar']);

/** ISO 4217 code. */
export const currency = z.string().regex(/^[A-Z]{3}$/);

/** A thing's id with the name that people call it by. */
export const named = z.object({ id, name: z.string() }).meta({ id: 'Named' });

/** The path of everything that belongs to one cooperative. */
export const cooperativePath = z.object({ cooperativeId: id });
