import { useSyncExternalStore } from 'react';

const wide = matchMedia('(width >= 960px)');
const subscribe = (listener: () => void) => {
  wide.addEventListener('change', listener);
  return () => wide.removeEventListener('change', listener);
};

/** Whether the page is laid out for a laptop, where one act has another place and must not be there twice. */
export const useIsWide = (): boolean => useSyncExternalStore(subscribe, () => wide.matches);
