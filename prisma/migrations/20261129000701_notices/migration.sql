-- What a household has been told: the notice, who of it has seen it, and to whom it went by mail. All three are facts that only grow.
CREATE TABLE notice (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  household_id uuid NOT NULL,
  kind text NOT NULL,
  facts jsonb NOT NULL,
  subject_id uuid,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT notice_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT notice_cooperative_id_household_id_fkey FOREIGN KEY (cooperative_id, household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT notice_facts CHECK (jsonb_typeof(facts) = 'object')
);
CREATE INDEX notice_cooperative_id_household_id_created_at_idx ON notice (cooperative_id, household_id, created_at);
CREATE INDEX notice_cooperative_id_subject_id_idx ON notice (cooperative_id, subject_id);

CREATE TABLE notice_seen (
  cooperative_id uuid NOT NULL,
  notice_id uuid NOT NULL,
  person_id uuid NOT NULL,
  seen_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT notice_seen_pkey PRIMARY KEY (cooperative_id, notice_id, person_id),
  CONSTRAINT notice_seen_cooperative_id_notice_id_fkey FOREIGN KEY (cooperative_id, notice_id)
    REFERENCES notice (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE
);

CREATE TABLE notice_mail (
  cooperative_id uuid NOT NULL,
  notice_id uuid NOT NULL,
  person_id uuid NOT NULL,
  mailed_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT notice_mail_pkey PRIMARY KEY (cooperative_id, notice_id, person_id),
  CONSTRAINT notice_mail_cooperative_id_notice_id_fkey FOREIGN KEY (cooperative_id, notice_id)
    REFERENCES notice (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE
);

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['notice', 'notice_seen', 'notice_mail'] LOOP
    EXECUTE format('CREATE TRIGGER %I BEFORE UPDATE OR DELETE ON %I FOR EACH ROW EXECUTE FUNCTION refuse_change()', t || '_append_only', t);
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY of_cooperative ON %I USING (cooperative_id = current_cooperative()) WITH CHECK (cooperative_id = current_cooperative())', t);
    EXECUTE format('GRANT SELECT, INSERT ON %I TO frostmoot_app', t);
  END LOOP;
END $$;

-- Whether a person wants notices by mail as well.
ALTER TABLE person ADD COLUMN wants_mail boolean NOT NULL DEFAULT true;
