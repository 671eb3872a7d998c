import { z } from 'zod';

const params = z.record(z.string(), z.union([z.string(), z.number()]));

/** RFC 9457 problem document; `code` is stable, `errors` point to the fields of the request, `params` feed the words on the screen. */
export const problem = z
  .object({
    type: z.string(),
    title: z.string(),
    status: z.int(),
    detail: z.string(),
    code: z.string(),
    instance: z.string().optional(),
    errors: z
      .array(
        z.object({ pointer: z.string(), detail: z.string(), code: z.string().optional(), params: params.optional() }),
      )
      .optional(),
    params: params.optional(),
  })
  .meta({ id: 'Problem' });
export type Problem = z.infer<typeof problem>;
