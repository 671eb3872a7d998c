import { useEffect, useState } from 'react';

const HALF_A_MINUTE = 30_000;

/** The device's time as an instant, again every half a minute. */
export function useNow(): string {
  const [now, setNow] = useState(() => new Date().toISOString());
  useEffect(() => {
    const timer = setInterval(() => setNow(new Date().toISOString()), HALF_A_MINUTE);
    return () => clearInterval(timer);
  }, []);
  return now;
}
