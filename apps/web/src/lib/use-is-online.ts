import { onlineManager } from '@tanstack/react-query';
import { useSyncExternalStore } from 'react';

const subscribe = (listener: () => void) => onlineManager.subscribe(listener);

/** Whether the device has a connection, as far as the browser knows. */
export const useIsOnline = (): boolean => useSyncExternalStore(subscribe, () => onlineManager.isOnline());
