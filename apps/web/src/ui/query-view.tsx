import type { UseQueryResult } from '@tanstack/react-query';
import type { ReactNode } from 'react';
import { Loading } from './loading.tsx';
import { Problem } from './problem-box.tsx';

/** What a query shows while it loads, when it fails, and when it is there; data from before a failure stays in sight. */
export function QueryView<Data>(props: {
  query: UseQueryResult<Data>;
  children: (data: Data) => ReactNode;
  lines?: number;
}) {
  const { query } = props;
  if (query.data !== undefined) return <>{props.children(query.data)}</>;
  if (query.isError) return <Problem error={query.error} onRetry={() => void query.refetch()} />;
  return <Loading lines={props.lines} />;
}
