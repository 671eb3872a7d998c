import { useEffect, useState, type ReactNode } from 'react';
import { createPortal } from 'react-dom';

/** Puts something at the end of a hands-busy page's top line: the clock, "Saved on this phone, 3 wait". Nothing elsewhere. */
export function TopLine({ children }: { children: ReactNode }) {
  const [place, setPlace] = useState<HTMLElement | null>(null);
  useEffect(() => setPlace(document.getElementById('top-line-end')), []);
  return place && createPortal(children, place);
}
