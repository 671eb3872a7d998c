/** Where to go after signing in: only to a page of this app, never to another host that a link may have named. */
export function safeReturn(wanted: string | undefined): string {
  if (!wanted) return '/';
  const origin = 'https://app.invalid';
  if (!wanted.startsWith('/') || !URL.canParse(wanted, origin)) return '/';
  const url = new URL(wanted, origin);
  const isOurs = url.origin === origin && !url.pathname.startsWith('//') && !url.pathname.startsWith('/sign-in');
  return isOurs ? url.pathname + url.search + url.hash : '/';
}
