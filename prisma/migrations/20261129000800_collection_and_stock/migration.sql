-- How a container ended: a code that every reader's language has words for, words of one's own beside it; given away is an end like the others.
ALTER TABLE container ADD COLUMN ended_code text;
ALTER TABLE container DROP CONSTRAINT container_state;
ALTER TABLE container
  ADD CONSTRAINT container_state CHECK (state IN ('sealed', 'eaten', 'thrown-away', 'given-away', 'lost', 'recalled')) NOT VALID,
  ADD CONSTRAINT container_ended_code CHECK (ended_code IN ('thawed', 'too-old', 'tasted', 'damaged', 'recall', 'not-found', 'other')) NOT VALID,
  ADD CONSTRAINT container_ended_code_of_ended CHECK (ended_code IS NULL OR state <> 'sealed') NOT VALID;
ALTER TABLE container VALIDATE CONSTRAINT container_state;
ALTER TABLE container VALIDATE CONSTRAINT container_ended_code;
ALTER TABLE container VALIDATE CONSTRAINT container_ended_code_of_ended;

-- How many days before a best-before a household wants to be told.
ALTER TABLE household ADD COLUMN alert_days integer NOT NULL DEFAULT 14;
ALTER TABLE household ADD CONSTRAINT household_alert_days CHECK (alert_days BETWEEN 0 AND 180) NOT VALID;
ALTER TABLE household VALIDATE CONSTRAINT household_alert_days;

-- Where and when the containers of a round are collected, and what becomes of those that are not.
CREATE TABLE collection (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  round_id uuid NOT NULL,
  place text NOT NULL,
  collect_by timestamptz(3) NOT NULL,
  after_deadline text NOT NULL DEFAULT 'keep',
  version integer NOT NULL DEFAULT 1,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT collection_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT collection_cooperative_id_round_id_fkey FOREIGN KEY (cooperative_id, round_id)
    REFERENCES round (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT collection_after_deadline CHECK (after_deadline IN ('keep', 'release'))
);
CREATE UNIQUE INDEX collection_cooperative_id_round_id_key ON collection (cooperative_id, round_id);

CREATE TABLE collection_slot (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  collection_id uuid NOT NULL,
  starts_at timestamptz(3) NOT NULL,
  ends_at timestamptz(3) NOT NULL,
  CONSTRAINT collection_slot_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT collection_slot_cooperative_id_collection_id_fkey FOREIGN KEY (cooperative_id, collection_id)
    REFERENCES collection (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT collection_slot_ends CHECK (ends_at > starts_at)
);
CREATE INDEX collection_slot_cooperative_id_collection_id_idx ON collection_slot (cooperative_id, collection_id);

-- When a household comes, and which other household takes its containers along.
CREATE TABLE collection_choice (
  cooperative_id uuid NOT NULL,
  collection_id uuid NOT NULL,
  household_id uuid NOT NULL,
  slot_id uuid,
  delegate_household_id uuid,
  changed_by uuid NOT NULL,
  changed_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT collection_choice_pkey PRIMARY KEY (cooperative_id, collection_id, household_id),
  CONSTRAINT collection_choice_cooperative_id_collection_id_fkey FOREIGN KEY (cooperative_id, collection_id)
    REFERENCES collection (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT collection_choice_cooperative_id_household_id_fkey FOREIGN KEY (cooperative_id, household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT collection_choice_cooperative_id_slot_id_fkey FOREIGN KEY (cooperative_id, slot_id)
    REFERENCES collection_slot (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT collection_choice_cooperative_id_delegate_household_id_fkey FOREIGN KEY (cooperative_id, delegate_household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT collection_choice_delegate CHECK (delegate_household_id <> household_id)
);

-- A container was handed over: for whom it is, who took it along, who ticked it and when. Never changed but for being taken back.
CREATE TABLE hand_over (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  claim_id uuid NOT NULL,
  container_id uuid NOT NULL,
  household_id uuid NOT NULL,
  to_household_id uuid NOT NULL,
  handed_at timestamptz(3) NOT NULL,
  created_by uuid NOT NULL,
  undone_at timestamptz(3),
  undone_by uuid,
  CONSTRAINT hand_over_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT hand_over_cooperative_id_claim_id_fkey FOREIGN KEY (cooperative_id, claim_id)
    REFERENCES claim (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT hand_over_cooperative_id_container_id_fkey FOREIGN KEY (cooperative_id, container_id)
    REFERENCES container (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT hand_over_cooperative_id_household_id_fkey FOREIGN KEY (cooperative_id, household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT hand_over_cooperative_id_to_household_id_fkey FOREIGN KEY (cooperative_id, to_household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT hand_over_undone CHECK ((undone_at IS NULL) = (undone_by IS NULL))
);
CREATE INDEX hand_over_cooperative_id_container_id_idx ON hand_over (cooperative_id, container_id);
CREATE UNIQUE INDEX hand_over_one_live ON hand_over (cooperative_id, claim_id) WHERE undone_at IS NULL;

CREATE FUNCTION hand_over_stays() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF TG_OP = 'DELETE' OR OLD.undone_at IS NOT NULL
    OR to_jsonb(NEW) - '{undone_at,undone_by}'::text[] <> to_jsonb(OLD) - '{undone_at,undone_by}'::text[] THEN
    RAISE EXCEPTION 'a hand-over is taken back, not changed' USING ERRCODE = '23514', CONSTRAINT = 'hand_over_stays';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER hand_over_stays BEFORE UPDATE OR DELETE ON hand_over FOR EACH ROW EXECUTE FUNCTION hand_over_stays();

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['collection', 'collection_slot', 'collection_choice', 'hand_over'] LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY of_cooperative ON %I USING (cooperative_id = current_cooperative()) WITH CHECK (cooperative_id = current_cooperative())', t);
  END LOOP;
END $$;
GRANT SELECT, INSERT, UPDATE ON collection, collection_choice TO frostmoot_app;
GRANT SELECT, INSERT, UPDATE, DELETE ON collection_slot TO frostmoot_app;
GRANT SELECT, INSERT ON hand_over TO frostmoot_app;
GRANT UPDATE (undone_at, undone_by) ON hand_over TO frostmoot_app;

-- What must always be true of stock, in the form of broken_invariant.
CREATE VIEW broken_invariant_stock WITH (security_invoker = true) AS
  -- Held and ended in every way it can end come to what was made.
  SELECT b.cooperative_id, 'made-is-held-and-ended' AS rule, b.id AS subject FROM batch b
    WHERE coalesce(b.actual_portions, 0) <> (SELECT coalesce(sum(c.portions) FILTER (WHERE c.state = 'sealed'), 0)
        + coalesce(sum(c.portions) FILTER (WHERE c.state = 'eaten'), 0)
        + coalesce(sum(c.portions) FILTER (WHERE c.state = 'thrown-away'), 0)
        + coalesce(sum(c.portions) FILTER (WHERE c.state = 'given-away'), 0)
        + coalesce(sum(c.portions) FILTER (WHERE c.state IN ('lost', 'recalled')), 0)
      FROM container c WHERE c.cooperative_id = b.cooperative_id AND c.batch_id = b.id)
  UNION ALL
  -- What a household has, or had when it ended, is what the book of portions says that it received, claimed, gave back and swapped, and what a
  -- correction of a share-out moved.
  SELECT h.cooperative_id, 'household-portions-in-books', h.id FROM household h
    WHERE (SELECT coalesce(sum(c.portions), 0) * 1000000::bigint FROM container c
        WHERE c.cooperative_id = h.cooperative_id AND c.holder_household_id = h.id)
      <> (SELECT -coalesce(sum(p.amount), 0) FROM account a
        JOIN posting p ON p.cooperative_id = a.cooperative_id AND p.account_id = a.id
        JOIN entry e ON e.cooperative_id = p.cooperative_id AND e.id = p.entry_id
        WHERE a.cooperative_id = h.cooperative_id AND a.household_id = h.id AND a.book = 'portions'
          AND (e.kind IN ('claim', 'release', 'swap') OR p.facts ->> 'part' IN ('received', 'moved-away', 'moved-here')))
  UNION ALL
  -- A hand-over that stands names the container that its claim is for and the household whose claim it is; while the claim lives it is collected.
  SELECT o.cooperative_id, 'hand-over-of-holder', o.id FROM hand_over o
    JOIN claim cl ON cl.cooperative_id = o.cooperative_id AND cl.id = o.claim_id
    WHERE o.undone_at IS NULL
      AND (cl.container_id <> o.container_id OR cl.household_id <> o.household_id OR cl.state NOT IN ('collected', 'released'))
  UNION ALL
  SELECT ch.cooperative_id, 'chosen-slot-of-collection', ch.household_id FROM collection_choice ch
    JOIN collection_slot s ON s.cooperative_id = ch.cooperative_id AND s.id = ch.slot_id
    WHERE s.collection_id <> ch.collection_id;
GRANT SELECT ON broken_invariant_stock TO frostmoot_app;
