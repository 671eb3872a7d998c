import type { LimitedOffer, SellerPlan } from './buying/seller-plan.ts';
import { nextBest, planOverSellers } from './buying/seller-plan.ts';
import { commands } from './commands.ts';
import type { ShareOutOutput } from './share-out/share-out.ts';
import { verifyShareOut } from './share-out/verify.ts';

type Given = Parameters<typeof planOverSellers>[0];

/** What a thread works out by name, with what a structured clone carries: the commands, and what the API alone asks for. */
export const threadCommands = {
  ...commands,
  /** a plan for each of some needs */
  'seller-plans': ({
    needs,
    ...given
  }: Omit<Given, 'needs'> & { needs: Given['needs'][] }): SellerPlan<LimitedOffer>[] =>
    needs.map((each) => planOverSellers({ ...given, needs: each })),
  'next-best': (given: Given) => {
    const plan = planOverSellers(given);
    return { proof: plan.proof, ...nextBest(given, plan) };
  },
  'verify-share-out': ({ input, result }: { input: unknown; result: ShareOutOutput }) => verifyShareOut(input, result),
} as const;

export type ThreadName = keyof typeof threadCommands;
export type ThreadInput<Name extends ThreadName> = Parameters<(typeof threadCommands)[Name]>[0];
export type ThreadResult<Name extends ThreadName> = ReturnType<(typeof threadCommands)[Name]>;
