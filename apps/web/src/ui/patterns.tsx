/** How dishes are told apart in one round: by pattern, never by hue. Index 0-7, then again from the start. */
const PATTERN_COUNT = 8;

export const patternFill = (dishIndex: number): string =>
  `url(#dish-${((dishIndex % PATTERN_COUNT) + PATTERN_COUNT) % PATTERN_COUNT})`;
export const HATCH = 'url(#hatch)';

/** The patterns, drawn once for the whole document; charts refer to them by id. */
export function PatternDefinitions() {
  const base = { patternUnits: 'userSpaceOnUse' } as const;
  const ink = 'var(--ink)';
  const card = 'var(--card)';
  return (
    <svg width="0" height="0" style={{ position: 'absolute' }} aria-hidden="true" focusable="false">
      <defs>
        <pattern id="dish-0" width="6" height="6" {...base}>
          <rect width="6" height="6" fill={card} />
          <circle cx="2" cy="2" r="1.1" fill={ink} />
          <circle cx="5" cy="5" r="1.1" fill={ink} />
        </pattern>
        <pattern id="dish-1" width="6" height="6" {...base}>
          <rect width="6" height="6" fill="var(--bar)" />
        </pattern>
        <pattern id="dish-2" width="6" height="6" patternTransform="rotate(45)" {...base}>
          <rect width="6" height="6" fill={card} />
          <rect width="2.6" height="6" fill={ink} />
        </pattern>
        <pattern id="dish-3" width="6" height="5" {...base}>
          <rect width="6" height="5" fill={card} />
          <rect y="2" width="6" height="1" fill={ink} />
        </pattern>
        <pattern id="dish-4" width="6" height="6" {...base}>
          <rect width="6" height="6" fill={card} />
          <path d="M0 0h3v3H0zM3 3h3v3H3z" fill={ink} />
        </pattern>
        <pattern id="dish-5" width="7" height="7" patternTransform="rotate(-45)" {...base}>
          <rect width="7" height="7" fill="var(--bar)" />
          <rect width="1.4" height="7" fill={ink} />
        </pattern>
        <pattern id="dish-6" width="5" height="6" {...base}>
          <rect width="5" height="6" fill={card} />
          <rect x="2" width="1.2" height="6" fill={ink} />
        </pattern>
        <pattern id="dish-7" width="6" height="6" {...base}>
          <rect width="6" height="6" fill={ink} />
          <circle cx="3" cy="3" r="1.4" fill={card} />
        </pattern>
        <pattern id="hatch" width="5" height="5" patternTransform="rotate(45)" {...base}>
          <rect width="5" height="5" fill={card} />
          <rect width="1.8" height="5" fill={ink} />
        </pattern>
      </defs>
    </svg>
  );
}
