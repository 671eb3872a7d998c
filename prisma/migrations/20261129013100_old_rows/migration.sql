-- Rows that are no use after a while: besides the answers kept for repeated requests also jobs that have ended, and events that no stream goes on after.
-- The purge looks for them in every cooperative and deletes under each by itself.
CREATE INDEX outbox_created_at_idx ON outbox (created_at);
CREATE INDEX job_ended ON job (ended_at) WHERE ended_at IS NOT NULL;
CREATE POLICY of_purge ON outbox FOR SELECT
  USING (current_setting('app.queue', true) = 'look' AND created_at < now() - interval '8 days');
CREATE POLICY of_purge ON job FOR SELECT
  USING (current_setting('app.queue', true) = 'look' AND ended_at < now() - interval '30 days');
GRANT DELETE ON outbox TO frostmoot_app;

-- For one of the three tables.
CREATE FUNCTION cooperatives_with_old_rows(p_table text, p_most int) RETURNS uuid[] LANGUAGE plpgsql VOLATILE AS $$
DECLARE found uuid[];
BEGIN
  IF p_table = 'idempotency_key' THEN RETURN cooperatives_with_old_keys(p_most); END IF;
  PERFORM set_config('app.queue', 'look', true);
  IF p_table = 'outbox' THEN
    SELECT array_agg(DISTINCT k.cooperative_id) INTO found FROM (
      SELECT o.cooperative_id FROM outbox o WHERE o.created_at < now() - interval '8 days' LIMIT p_most) k;
  ELSIF p_table = 'job' THEN
    SELECT array_agg(DISTINCT k.cooperative_id) INTO found FROM (
      SELECT j.cooperative_id FROM job j WHERE j.ended_at < now() - interval '30 days' LIMIT p_most) k;
  ELSE
    RAISE EXCEPTION 'Rows of % are kept for good', p_table;
  END IF;
  PERFORM set_config('app.queue', '', true);
  RETURN coalesce(found, '{}');
END $$;
GRANT EXECUTE ON FUNCTION cooperatives_with_old_rows(text, int) TO frostmoot_app;
