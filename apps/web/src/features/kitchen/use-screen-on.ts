import { useEffect, useState } from 'react';

/** Keeps the screen on while the page is in sight, where the browser can; says whether it is kept on. */
export function useScreenOn(): boolean {
  const [isOn, setOn] = useState(false);
  useEffect(() => {
    let lock: WakeLockSentinel | undefined;
    let isGone = false;
    const ask = async () => {
      if (!('wakeLock' in navigator) || document.visibilityState !== 'visible') return;
      try {
        lock = await navigator.wakeLock.request('screen');
        if (isGone) await lock.release();
        else setOn(true);
        lock.addEventListener('release', () => setOn(false));
      } catch {
        setOn(false); // Refused to save power: the screen then goes off as it is set.
      }
    };
    void ask();
    const askAgain = () => void ask();
    document.addEventListener('visibilitychange', askAgain);
    return () => {
      isGone = true;
      document.removeEventListener('visibilitychange', askAgain);
      void lock?.release();
    };
  }, []);
  return isOn;
}
