import { QueryClient } from '@tanstack/react-query';
import { isProblem, onSignedOut } from '../lib/api/client.ts';
import { forgetSession } from '../lib/session.tsx';

export const queryClient = new QueryClient({
  defaultOptions: {
    queries: {
      staleTime: 15_000,
      // The api client itself sends again what may be sent again; a refusal does not change by asking twice.
      retry: (failures, error) => !isProblem(error) && failures < 1,
    },
    // Without a connection a write fails in words at once, and what can be kept on the device is, instead of hanging in the memory of the page.
    mutations: { retry: false, networkMode: 'always' },
  },
});

onSignedOut(() => {
  if (location.pathname.startsWith('/sign-in')) return;
  const back = location.pathname + location.search + location.hash;
  forgetSession(queryClient);
  // A full load, so that nothing of the former session stays in memory.
  location.assign(`/sign-in?return=${encodeURIComponent(back)}`);
});
