import { createRouter } from '@tanstack/react-router';
import { ErrorPage } from './error-page.tsx';
import { NotFoundPage } from './not-found-page.tsx';
import { queryClient } from './query-client.ts';
import { routeTree } from './routes.tsx';
import { Loading } from '../ui/loading.tsx';

export const router = createRouter({
  routeTree,
  context: { queryClient },
  defaultPreload: 'intent',
  defaultPreloadStaleTime: 0,
  scrollRestoration: true,
  defaultPendingMs: 300,
  defaultPendingComponent: Loading,
  defaultErrorComponent: ErrorPage,
  defaultNotFoundComponent: NotFoundPage,
});

declare module '@tanstack/react-router' {
  interface Register {
    router: typeof router;
  }
  interface StaticDataRouteOption {
    /** Hands are busy: no navigation, a line on top with the way back; `phone` only there. */
    handsBusy?: 'always' | 'phone';
    /** Larger type, for reading from where the pots are. */
    kitchen?: boolean;
    /** The round's stage that the page shows, for the navigation. */
    stage?: 'plan' | 'buy' | 'cook' | 'share-out';
  }
}
