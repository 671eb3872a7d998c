-- The cook day: what the kitchen of a household has, how many cook, the run sheets that were worked out, which steps are done, and corrected readings.

-- Null: not said yet, then an ordinary kitchen is taken. An empty list of pots means that pots are not looked at.
ALTER TABLE household
  ADD COLUMN hobs smallint,
  ADD COLUMN ovens smallint,
  ADD COLUMN pots_litres text[] NOT NULL DEFAULT '{}',
  ADD COLUMN bench_people smallint,
  ADD CONSTRAINT household_hobs CHECK (hobs BETWEEN 0 AND 30),
  ADD CONSTRAINT household_ovens CHECK (ovens BETWEEN 0 AND 30),
  ADD CONSTRAINT household_pots_litres CHECK (cardinality(pots_litres) <= 40),
  ADD CONSTRAINT household_bench_people CHECK (bench_people BETWEEN 1 AND 30);

-- Null: one for each turn.
ALTER TABLE cook_day ADD COLUMN people smallint, ADD CONSTRAINT cook_day_people CHECK (people BETWEEN 1 AND 30);

-- Each working out is a row of its own with what went in and what came out; the newest counts.
CREATE TABLE run_sheet (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  cook_day_id uuid NOT NULL,
  input jsonb NOT NULL,
  result jsonb NOT NULL,
  proof text NOT NULL,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT run_sheet_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT run_sheet_cooperative_id_cook_day_id_fkey FOREIGN KEY (cooperative_id, cook_day_id)
    REFERENCES cook_day (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT run_sheet_proof CHECK (proof IN ('optimal', 'bounded'))
);
CREATE INDEX run_sheet_cooperative_id_cook_day_id_created_at_idx ON run_sheet (cooperative_id, cook_day_id, created_at);
CREATE TRIGGER run_sheet_append_only BEFORE UPDATE OR DELETE ON run_sheet FOR EACH ROW EXECUTE FUNCTION refuse_change();
ALTER TABLE run_sheet ENABLE ROW LEVEL SECURITY;
ALTER TABLE run_sheet FORCE ROW LEVEL SECURITY;
CREATE POLICY of_cooperative ON run_sheet USING (cooperative_id = current_cooperative()) WITH CHECK (cooperative_id = current_cooperative());
GRANT SELECT, INSERT ON run_sheet TO frostmoot_app;

-- A step that somebody did, at the time it was done, since a kitchen is often offline; taking it back is another row. The latest by its own time counts.
CREATE TABLE step_done (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  cook_day_id uuid NOT NULL,
  -- the recipe version, the number of its making on the day, the place of the step in the recipe
  step_key text NOT NULL,
  act text NOT NULL,
  done_at timestamptz(3) NOT NULL,
  household_id uuid NOT NULL,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT step_done_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT step_done_cooperative_id_cook_day_id_fkey FOREIGN KEY (cooperative_id, cook_day_id)
    REFERENCES cook_day (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT step_done_cooperative_id_household_id_fkey FOREIGN KEY (cooperative_id, household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT step_done_act CHECK (act IN ('done', 'taken-back')),
  CONSTRAINT step_done_step_key CHECK (step_key ~ '^[0-9a-f-]{36}\.\d{1,3}\.\d{1,2}$')
);
CREATE INDEX step_done_cooperative_id_cook_day_id_idx ON step_done (cooperative_id, cook_day_id, done_at);
CREATE TRIGGER step_done_append_only BEFORE UPDATE OR DELETE ON step_done FOR EACH ROW EXECUTE FUNCTION refuse_change();
ALTER TABLE step_done ENABLE ROW LEVEL SECURITY;
ALTER TABLE step_done FORCE ROW LEVEL SECURITY;
CREATE POLICY of_cooperative ON step_done USING (cooperative_id = current_cooperative()) WITH CHECK (cooperative_id = current_cooperative());
GRANT SELECT, INSERT ON step_done TO frostmoot_app;

-- A mistyped reading is replaced, once, by another of the same batch that says why; both stay.
ALTER TABLE probe_reading ADD COLUMN replaces_id uuid, ADD COLUMN reason text NOT NULL DEFAULT '';
ALTER TABLE probe_reading
  ADD CONSTRAINT probe_reading_of_batch UNIQUE (cooperative_id, batch_id, id),
  ADD CONSTRAINT probe_reading_replaced_once UNIQUE (cooperative_id, replaces_id),
  ADD CONSTRAINT probe_reading_replaces_fkey FOREIGN KEY (cooperative_id, batch_id, replaces_id)
    REFERENCES probe_reading (cooperative_id, batch_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  ADD CONSTRAINT probe_reading_replaces_another CHECK (replaces_id <> id),
  ADD CONSTRAINT probe_reading_reason CHECK ((replaces_id IS NULL) = (reason = ''));
