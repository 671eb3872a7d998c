import type { Topic } from '@frostmoot/contract';
import type { QueryClient } from '@tanstack/react-query';

/** Reads again every query that shows one of these topics, as soon as somebody looks at it. */
export const readAgain = (client: QueryClient, topics: readonly Topic[]): Promise<void> =>
  client.invalidateQueries({ predicate: ({ meta }) => topics.some((topic) => meta?.topics?.includes(topic)) });
