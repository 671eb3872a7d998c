import type { ReactNode } from 'react';

function Icon({ children, size = 24, className }: { children: ReactNode; size?: number; className?: string }) {
  return (
    <svg
      className={className}
      viewBox="0 0 24 24"
      width={size}
      height={size}
      fill="none"
      stroke="currentColor"
      strokeWidth="1.8"
      strokeLinecap="round"
      strokeLinejoin="round"
      aria-hidden="true"
    >
      {children}
    </svg>
  );
}

/** Drawn for this product; each stands beside its word and is hidden from readers. */
export const PotIcon = () => (
  <Icon>
    <path d="M5 10v7.5a2 2 0 0 0 2 2h10a2 2 0 0 0 2-2V10M3 10h18M9.5 7h5M12 7V4.6M3 10l1.2 2.4M21 10l-1.2 2.4" />
  </Icon>
);
export const StagesIcon = () => (
  <Icon>
    <path d="M5 3.5v17M5 6h8M5 12h14M5 18h10" />
  </Icon>
);
export const DrawerIcon = () => (
  <Icon>
    <path d="M5 5h14a1.5 1.5 0 0 1 1.5 1.5v11A1.5 1.5 0 0 1 19 19H5a1.5 1.5 0 0 1-1.5-1.5v-11A1.5 1.5 0 0 1 5 5zM3.5 10h17M10 14.2h4" />
  </Icon>
);
export const SwapIcon = () => (
  <Icon>
    <path d="M5 8.5h14.5M16 5l3.5 3.5L16 12M19 15.5H4.5M8 12l-3.5 3.5L8 19" />
  </Icon>
);
export const ReceiptIcon = () => (
  <Icon>
    <path d="M6 3.5h12v17l-2-1.6-2 1.6-2-1.6-2 1.6-2-1.6-2 1.6zM9.5 8h5M9.5 11.5h5M9.5 15h3" />
  </Icon>
);
export const BackIcon = () => (
  <Icon className="flip">
    <path d="M14.5 5l-7 7 7 7" />
  </Icon>
);
export const PrintIcon = () => (
  <Icon size={20}>
    <path d="M7 9V4h10v5M7 16H4.5v-5A2 2 0 0 1 6.5 9h11a2 2 0 0 1 2 2v5H17M7 14h10v6H7z" />
  </Icon>
);
export const CloseIcon = () => (
  <Icon size={20}>
    <path d="M6 6l12 12M18 6L6 18" />
  </Icon>
);
export const CheckIcon = ({ size = 22 }: { size?: number }) => (
  <svg
    viewBox="0 0 24 24"
    width={size}
    height={size}
    fill="none"
    stroke="currentColor"
    strokeWidth="3.4"
    aria-hidden="true"
  >
    <path d="M4.5 12.5l5 5 10-11" strokeLinecap="round" strokeLinejoin="round" />
  </svg>
);
