import { z } from 'zod';
import { currency, id, instant, locale, shortText, version } from './primitives.ts';

export const roles = ['coordinator', 'buyer', 'adult', 'reader'] as const;
/** What a person may do in a cooperative. */
export const role = z.enum(roles);
export type Role = z.infer<typeof role>;

const email = z.email().max(254).toLowerCase();
const newPassword = z.string().min(10).max(200);

/** E-mail address and password. Errors: `wrong-credentials`. */
export const signIn = z.object({ email, password: z.string().min(1).max(200) }).meta({ id: 'SignIn' });

/** One place of a person in one cooperative. */
export const membership = z
  .object({
    cooperativeId: id,
    cooperativeName: z.string(),
    householdId: id,
    householdName: z.string(),
    roles: z.array(role),
  })
  .meta({ id: 'Membership' });

/** Who is signed in. */
export const me = z
  .object({
    personId: id,
    email: z.string(),
    displayName: z.string(),
    locale,
    /** whether notices come by mail as well */
    wantsMail: z.boolean(),
    version,
    memberships: z.array(membership),
  })
  .meta({ id: 'Me' });

/** A change of one's own account. */
export const changeMe = z
  .object({ displayName: shortText.optional(), locale: locale.optional(), wantsMail: z.boolean().optional() })
  .meta({ id: 'ChangeMe' });

/** The accounts of the made-up cooperative, offered until a real one is set up. */
export const demo = z
  .object({
    enabled: z.boolean(),
    accounts: z.array(
      z.object({
        email: z.string(),
        password: z.string(),
        displayName: z.string(),
        householdName: z.string(),
        roles: z.array(role),
      }),
    ),
  })
  .meta({ id: 'Demo' });

/** A new cooperative with its first household, whose adult becomes the coordinator. Errors: `email-taken`. */
export const setUp = z
  .object({
    name: shortText,
    currency,
    timeZone: z.string().min(1).max(60),
    locale,
    unitSystem: z.enum(['metric', 'us', 'imperial']),
    householdName: shortText,
    displayName: shortText,
    email,
    password: newPassword,
  })
  .meta({ id: 'SetUp' });

/** A new household in the cooperative, or one that exists, for whoever opens the link. */
export const invite = z.object({ householdId: id, roles: z.array(role).min(1) }).meta({ id: 'Invite' });

/** The link to hand over; it is shown once, works once and ends at `expiresAt`. */
export const invitation = z.object({ path: z.string(), expiresAt: instant }).meta({ id: 'Invitation' });

/** Who opens an invitation: a new account, or an existing one by its password. */
export const acceptInvitation = z
  .object({
    cooperativeId: id,
    token: z.string().min(20).max(100),
    displayName: shortText,
    email,
    password: newPassword,
  })
  .meta({ id: 'AcceptInvitation' });
