import { lazyRouteComponent } from '@tanstack/react-router';
import type { ComponentType } from 'react';
import { loadAreas } from '../lib/messages/catalogue.ts';
import type { Area } from '../lib/messages/areas.ts';

/** A page that is fetched when it is first wanted, together with the words of its areas. */
export function lazyPage<Name extends string, Module extends Record<Name, ComponentType>>(
  areas: readonly Area[],
  load: () => Promise<Module>,
  name: Name,
) {
  return lazyRouteComponent(async () => {
    const [module] = await Promise.all([load(), loadAreas(areas)]);
    return { default: module[name] };
  });
}
