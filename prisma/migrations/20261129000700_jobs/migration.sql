-- Long work in the background. The row is the queue and the visible state at once: a process takes a job by writing its lease into it, renews the lease
-- while it works, and a job whose lease has run out is taken again.
CREATE TABLE job (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  kind text NOT NULL,
  subject_id uuid,
  state text NOT NULL DEFAULT 'queued',
  input jsonb NOT NULL,
  actor jsonb NOT NULL,
  stage integer,
  stages integer,
  code text,
  best jsonb,
  answer jsonb,
  problem jsonb,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  due_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  started_at timestamptz(3),
  ended_at timestamptz(3),
  stop_asked_at timestamptz(3),
  worker uuid,
  lease_until timestamptz(3),
  failures integer NOT NULL DEFAULT 0,
  crashes integer NOT NULL DEFAULT 0,
  CONSTRAINT job_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT job_cooperative_id_fkey FOREIGN KEY (cooperative_id) REFERENCES cooperative (id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT job_state CHECK (state IN ('queued', 'running', 'done', 'failed', 'stopped')),
  CONSTRAINT job_ended CHECK ((state IN ('done', 'failed', 'stopped')) = (ended_at IS NOT NULL)),
  CONSTRAINT job_leased CHECK ((state = 'running') = (worker IS NOT NULL) AND (worker IS NULL) = (lease_until IS NULL)),
  CONSTRAINT job_problem CHECK ((state = 'failed') = (problem IS NOT NULL)),
  CONSTRAINT job_stage CHECK (stage BETWEEN 1 AND stages)
);
CREATE INDEX job_cooperative_id_kind_subject_id_created_at_idx ON job (cooperative_id, kind, subject_id, created_at);
-- One at a time for a kind and what it is about; whoever starts a second gets the first.
CREATE UNIQUE INDEX job_one_open ON job (cooperative_id, kind, subject_id) NULLS NOT DISTINCT WHERE state IN ('queued', 'running');
-- What may be taken next, of all cooperatives.
CREATE INDEX job_open ON job (due_at) WHERE state IN ('queued', 'running');

ALTER TABLE job ENABLE ROW LEVEL SECURITY;
ALTER TABLE job FORCE ROW LEVEL SECURITY;
CREATE POLICY of_cooperative ON job USING (cooperative_id = current_cooperative()) WITH CHECK (cooperative_id = current_cooperative());
-- Whoever looks for work sees what is open, of every cooperative, and changes nothing by this.
CREATE POLICY of_queue ON job FOR SELECT
  USING (current_setting('app.queue', true) = 'look' AND state IN ('queued', 'running'));
GRANT SELECT, INSERT, UPDATE, DELETE ON job TO frostmoot_app;

-- Wakes every process when there is something to take or to stop.
CREATE FUNCTION job_wakes() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM pg_notify('frostmoot_jobs', '');
  RETURN NULL;
END $$;
CREATE TRIGGER job_wakes_new AFTER INSERT ON job FOR EACH ROW EXECUTE FUNCTION job_wakes();
CREATE TRIGGER job_wakes_changed AFTER UPDATE ON job FOR EACH ROW
  WHEN (OLD.stop_asked_at IS DISTINCT FROM NEW.stop_asked_at OR OLD.due_at <> NEW.due_at) EXECUTE FUNCTION job_wakes();

-- Takes the job that has been due for longest, for a lease; nothing when there is none. What two processes look at, one of them takes.
CREATE FUNCTION take_job(p_worker uuid, p_kinds text[], p_lease interval) RETURNS TABLE (cooperative_id uuid, id uuid)
LANGUAGE plpgsql VOLATILE AS $$
DECLARE
  places uuid[];
  jobs uuid[];
  which int;
BEGIN
  PERFORM set_config('app.queue', 'look', true);
  SELECT array_agg(f.cooperative_id), array_agg(f.id) INTO places, jobs FROM (
    SELECT j.cooperative_id, j.id FROM job j
      WHERE j.state IN ('queued', 'running') AND j.kind = ANY (p_kinds)
        AND CASE j.state WHEN 'queued' THEN j.due_at <= now() ELSE j.lease_until < now() END
      ORDER BY j.due_at LIMIT 20) f;
  PERFORM set_config('app.queue', '', true);
  FOR which IN 1 .. coalesce(cardinality(jobs), 0) LOOP
    PERFORM set_config('app.cooperative_id', places[which]::text, true);
    UPDATE job j SET state = 'running', worker = p_worker, lease_until = now() + p_lease, started_at = coalesce(j.started_at, now()),
        crashes = j.crashes + CASE j.state WHEN 'running' THEN 1 ELSE 0 END
      WHERE j.cooperative_id = places[which] AND j.id = (
        SELECT o.id FROM job o WHERE o.cooperative_id = places[which] AND o.id = jobs[which]
          AND CASE o.state WHEN 'queued' THEN o.due_at <= now() WHEN 'running' THEN o.lease_until < now() ELSE false END
        FOR UPDATE SKIP LOCKED);
    IF FOUND THEN
      cooperative_id := places[which];
      id := jobs[which];
      RETURN NEXT;
      RETURN;
    END IF;
  END LOOP;
END $$;
GRANT EXECUTE ON FUNCTION take_job(uuid, text[], interval) TO frostmoot_app;
