import type { shareOut } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Api } from '../api/harness.ts';
import type { BuiltCooperative } from './cooperative.ts';
import { buildSharingRound, type BuiltContainer, type BuiltRound, type SharingRoundDraft } from './sharing-round.ts';

type View = z.infer<typeof shareOut>;

export interface SharedRound extends BuiltRound {
  view: View;
  /** containers that the share-out set aside for a household */
  of(household: string): BuiltContainer[];
}

/** A round that the coordinator has shared out, through the API. */
export async function buildSharedRound(
  api: Api,
  cooperative: BuiltCooperative,
  draft: SharingRoundDraft,
): Promise<SharedRound> {
  const round = await buildSharingRound(api, cooperative, draft);
  const { coordinator, path } = cooperative;
  const { shareOutId, version } = await coordinator.ok<View>('POST', `${path}/rounds/${round.id}/share-out`);
  const view = await coordinator.ok<View>('POST', `${path}/share-outs/${shareOutId}/confirm`, undefined, {
    ifMatch: version ?? 0,
  });
  return {
    ...round,
    view,
    of: (household) => {
      const ids = view.parts.find((part) => part.household.name === household)?.containers.map(({ id }) => id) ?? [];
      return round.containers.filter(({ id }) => ids.includes(id));
    },
  };
}
