-- Core temperatures of a cooling batch. Each reading carries the time it was measured, since a kitchen is often offline, and what its device takes for
-- the start of the clock; readings are never changed, a wrong one is followed by another.
CREATE TABLE probe_reading (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  batch_id uuid NOT NULL,
  household_id uuid NOT NULL,
  rule text NOT NULL,
  started_at timestamptz(3) NOT NULL,
  measured_at timestamptz(3) NOT NULL,
  celsius numeric(5, 2) NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT probe_reading_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT probe_reading_cooperative_id_batch_id_fkey FOREIGN KEY (cooperative_id, batch_id)
    REFERENCES batch (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT probe_reading_cooperative_id_household_id_fkey FOREIGN KEY (cooperative_id, household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT probe_reading_rule CHECK (rule IN ('cooked', 'from-room-temperature')),
  CONSTRAINT probe_reading_after_start CHECK (measured_at >= started_at),
  CONSTRAINT probe_reading_celsius CHECK (celsius BETWEEN -60 AND 200)
);
CREATE INDEX probe_reading_cooperative_id_batch_id_measured_at_idx ON probe_reading (cooperative_id, batch_id, measured_at);

CREATE TRIGGER probe_reading_append_only BEFORE UPDATE OR DELETE ON probe_reading FOR EACH ROW EXECUTE FUNCTION refuse_change();
ALTER TABLE probe_reading ENABLE ROW LEVEL SECURITY;
ALTER TABLE probe_reading FORCE ROW LEVEL SECURITY;
CREATE POLICY of_cooperative ON probe_reading USING (cooperative_id = current_cooperative()) WITH CHECK (cooperative_id = current_cooperative());
GRANT SELECT, INSERT ON probe_reading TO frostmoot_app;
