-- What households hold out and wish for, and the rings that are found in it. A ring moves all its parts or none: its state says which.

ALTER TABLE cooperative
  -- The longest ring of households that is looked for; null: of any length.
  ADD COLUMN swap_ring_limit integer DEFAULT 3,
  -- How many portions a household may give more, or fewer, than it gets in one ring.
  ADD COLUMN swap_credit_portions integer NOT NULL DEFAULT 1,
  ADD CONSTRAINT cooperative_swap_ring_limit CHECK (swap_ring_limit IN (2, 3)),
  ADD CONSTRAINT cooperative_swap_credit CHECK (swap_credit_portions BETWEEN 0 AND 50);

-- A proposal may answer another, which is closed by that; once.
ALTER TABLE swap ADD COLUMN answers_id uuid;
ALTER TABLE swap DROP CONSTRAINT swap_state;
ALTER TABLE swap
  ADD CONSTRAINT swap_state CHECK (state IN ('proposed', 'accepted', 'declined', 'withdrawn', 'lapsed', 'done', 'answered')),
  ADD CONSTRAINT swap_cooperative_id_answers_id_fkey FOREIGN KEY (cooperative_id, answers_id)
    REFERENCES swap (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  ADD CONSTRAINT swap_not_its_own_answer CHECK (answers_id <> id);
CREATE UNIQUE INDEX swap_cooperative_id_answers_id_key ON swap (cooperative_id, answers_id);

-- A container that its household would give away.
CREATE TABLE swap_offer (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  household_id uuid NOT NULL,
  container_id uuid NOT NULL,
  ended_at timestamptz(3),
  ended_reason text,
  version integer NOT NULL DEFAULT 1,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT swap_offer_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT swap_offer_cooperative_id_household_id_fkey FOREIGN KEY (cooperative_id, household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT swap_offer_cooperative_id_container_id_fkey FOREIGN KEY (cooperative_id, container_id)
    REFERENCES container (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT swap_offer_ended_reason CHECK (ended_reason IN ('taken-back', 'gone')),
  CONSTRAINT swap_offer_ended CHECK ((ended_at IS NULL) = (ended_reason IS NULL))
);
CREATE INDEX swap_offer_cooperative_id_container_id_idx ON swap_offer (cooperative_id, container_id);
CREATE UNIQUE INDEX swap_offer_one_live ON swap_offer (cooperative_id, container_id) WHERE ended_at IS NULL;

-- What a household would like to get: so many containers of a dish.
CREATE TABLE swap_wish (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  household_id uuid NOT NULL,
  recipe_id uuid NOT NULL,
  containers integer NOT NULL,
  score integer NOT NULL,
  ended_at timestamptz(3),
  version integer NOT NULL DEFAULT 1,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT swap_wish_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT swap_wish_cooperative_id_household_id_fkey FOREIGN KEY (cooperative_id, household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT swap_wish_cooperative_id_recipe_id_fkey FOREIGN KEY (cooperative_id, recipe_id)
    REFERENCES recipe (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT swap_wish_containers CHECK (containers BETWEEN 0 AND 20 AND (containers > 0 OR ended_at IS NOT NULL)),
  CONSTRAINT swap_wish_score CHECK (score BETWEEN 1 AND 3)
);
CREATE INDEX swap_wish_cooperative_id_household_id_idx ON swap_wish (cooperative_id, household_id);
CREATE UNIQUE INDEX swap_wish_one_live ON swap_wish (cooperative_id, household_id, recipe_id) WHERE ended_at IS NULL;

-- Containers handed on among two or more households at once.
CREATE TABLE swap_ring (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  state text NOT NULL DEFAULT 'proposed',
  -- why a ring lapsed; and which container was gone
  reason text,
  gone_container_id uuid,
  open_until timestamptz(3) NOT NULL,
  closed_at timestamptz(3),
  version integer NOT NULL DEFAULT 1,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT swap_ring_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT swap_ring_cooperative_id_gone_container_id_fkey FOREIGN KEY (cooperative_id, gone_container_id)
    REFERENCES container (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT swap_ring_state CHECK (state IN ('proposed', 'declined', 'lapsed', 'done')),
  CONSTRAINT swap_ring_reason CHECK ((state = 'lapsed') = (reason IS NOT NULL) AND reason IN ('unanswered', 'gone', 'changed')),
  CONSTRAINT swap_ring_gone CHECK (gone_container_id IS NULL OR reason = 'gone'),
  CONSTRAINT swap_ring_closed CHECK ((state = 'proposed') = (closed_at IS NULL))
);
CREATE INDEX swap_ring_cooperative_id_state_idx ON swap_ring (cooperative_id, state);

-- A household in a ring, and what it said; the version is of its own answer.
CREATE TABLE swap_ring_member (
  cooperative_id uuid NOT NULL,
  ring_id uuid NOT NULL,
  household_id uuid NOT NULL,
  position integer NOT NULL,
  answer text,
  answered_by uuid,
  answered_at timestamptz(3),
  version integer NOT NULL DEFAULT 1,
  CONSTRAINT swap_ring_member_pkey PRIMARY KEY (cooperative_id, ring_id, household_id),
  CONSTRAINT swap_ring_member_cooperative_id_ring_id_fkey FOREIGN KEY (cooperative_id, ring_id)
    REFERENCES swap_ring (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT swap_ring_member_cooperative_id_household_id_fkey FOREIGN KEY (cooperative_id, household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT swap_ring_member_answer CHECK (answer IN ('accepted', 'declined')),
  CONSTRAINT swap_ring_member_answered CHECK ((answer IS NULL) = (answered_at IS NULL))
);
CREATE INDEX swap_ring_member_cooperative_id_household_id_idx ON swap_ring_member (cooperative_id, household_id);

CREATE TABLE swap_ring_part (
  cooperative_id uuid NOT NULL,
  ring_id uuid NOT NULL,
  container_id uuid NOT NULL,
  giver_household_id uuid NOT NULL,
  receiver_household_id uuid NOT NULL,
  wish_id uuid NOT NULL,
  CONSTRAINT swap_ring_part_pkey PRIMARY KEY (cooperative_id, ring_id, container_id),
  CONSTRAINT swap_ring_part_cooperative_id_container_id_fkey FOREIGN KEY (cooperative_id, container_id)
    REFERENCES container (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT swap_ring_part_cooperative_id_wish_id_fkey FOREIGN KEY (cooperative_id, wish_id)
    REFERENCES swap_wish (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT swap_ring_part_giver_fkey FOREIGN KEY (cooperative_id, ring_id, giver_household_id)
    REFERENCES swap_ring_member (cooperative_id, ring_id, household_id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT swap_ring_part_receiver_fkey FOREIGN KEY (cooperative_id, ring_id, receiver_household_id)
    REFERENCES swap_ring_member (cooperative_id, ring_id, household_id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT swap_ring_part_two_households CHECK (giver_household_id <> receiver_household_id)
);
CREATE INDEX swap_ring_part_cooperative_id_container_id_idx ON swap_ring_part (cooperative_id, container_id);
CREATE TRIGGER swap_ring_part_append_only BEFORE UPDATE OR DELETE ON swap_ring_part FOR EACH ROW EXECUTE FUNCTION refuse_change();

-- That the rings of a round were looked for before its containers are collected: once, whoever comes first.
CREATE TABLE swap_ring_search (
  cooperative_id uuid NOT NULL,
  round_id uuid NOT NULL,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT swap_ring_search_pkey PRIMARY KEY (cooperative_id, round_id),
  CONSTRAINT swap_ring_search_cooperative_id_round_id_fkey FOREIGN KEY (cooperative_id, round_id)
    REFERENCES round (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE
);

-- What somebody of the household must not eat and this dish, as it is made now, may contain.
CREATE FUNCTION unfit_dish(p_cooperative uuid, p_recipe uuid, p_household uuid) RETURNS text[] LANGUAGE sql STABLE AS $$
  SELECT coalesce(array_agg(x.subject ORDER BY x.subject), '{}') FROM (
    SELECT unnest((SELECT v.unfit_for FROM recipe_version v WHERE v.cooperative_id = p_cooperative AND v.recipe_id = p_recipe
      ORDER BY v.number DESC LIMIT 1)) AS subject
    INTERSECT
    SELECT r.subject FROM diner d JOIN diner_restriction r ON r.cooperative_id = d.cooperative_id AND r.diner_id = d.id
      WHERE d.cooperative_id = p_cooperative AND d.household_id = p_household AND r.strength = 'hard') x
$$;

-- A ring that is closed stays as it is.
CREATE FUNCTION swap_ring_stays() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF OLD.state <> 'proposed' THEN
    RAISE EXCEPTION 'a ring that is closed stays as it is' USING ERRCODE = '23514', CONSTRAINT = 'swap_ring_stays';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER swap_ring_stays BEFORE UPDATE OR DELETE ON swap_ring FOR EACH ROW EXECUTE FUNCTION swap_ring_stays();

-- Whoever moves or ends a container ends its offer, and the rings that wait for it: nothing has moved in them, and all their households are told.
-- Containers are locked before rings by everybody, so that this waits for nobody who waits for it.
CREATE FUNCTION swap_loses_container() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE ring record;
BEGIN
  UPDATE swap_offer SET ended_at = now(), ended_reason = 'gone', version = version + 1
    WHERE cooperative_id = NEW.cooperative_id AND container_id = NEW.id AND ended_at IS NULL;
  IF FOUND THEN INSERT INTO outbox (cooperative_id, topic) VALUES (NEW.cooperative_id, 'swaps'); END IF;
  FOR ring IN
    SELECT r.id FROM swap_ring r
      WHERE r.cooperative_id = NEW.cooperative_id AND r.state = 'proposed' AND EXISTS (SELECT FROM swap_ring_part p
        WHERE p.cooperative_id = r.cooperative_id AND p.ring_id = r.id AND p.container_id = NEW.id)
      ORDER BY r.id FOR UPDATE
  LOOP
    UPDATE swap_ring SET state = 'lapsed', reason = 'gone', gone_container_id = NEW.id, closed_at = now(), version = version + 1
      WHERE cooperative_id = NEW.cooperative_id AND id = ring.id AND state = 'proposed';
    INSERT INTO outbox (cooperative_id, topic, subject_id) VALUES (NEW.cooperative_id, 'swaps', ring.id);
  END LOOP;
  RETURN NULL;
END $$;
CREATE TRIGGER container_leaves_swaps AFTER UPDATE OF state, holder_household_id ON container FOR EACH ROW
  -- What nobody held was not offered, so that claims from the pool pass by.
  WHEN (OLD.holder_household_id IS NOT NULL
    AND (NEW.state <> OLD.state AND NEW.state <> 'sealed' OR NEW.holder_household_id IS DISTINCT FROM OLD.holder_household_id))
  EXECUTE FUNCTION swap_loses_container();

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['swap_offer', 'swap_wish', 'swap_ring', 'swap_ring_member', 'swap_ring_part', 'swap_ring_search'] LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY of_cooperative ON %I USING (cooperative_id = current_cooperative()) WITH CHECK (cooperative_id = current_cooperative())', t);
  END LOOP;
END $$;
GRANT SELECT, INSERT, UPDATE ON swap_offer, swap_wish, swap_ring, swap_ring_member TO frostmoot_app;
GRANT SELECT, INSERT ON swap_ring_part, swap_ring_search TO frostmoot_app;

-- What must always be true of offers and rings, as rows that break it.
CREATE VIEW broken_invariant_swaps WITH (security_invoker = true) AS
  SELECT r.cooperative_id, 'done-ring-moved' AS rule, r.id AS subject FROM swap_ring r
    JOIN swap_ring_part p ON p.cooperative_id = r.cooperative_id AND p.ring_id = r.id
    WHERE r.state = 'done' AND NOT EXISTS (SELECT FROM claim cl
      WHERE cl.cooperative_id = r.cooperative_id AND cl.container_id = p.container_id AND cl.household_id = p.receiver_household_id)
  UNION ALL
  -- Each household's postings are what it gave less what it got.
  SELECT r.cooperative_id, 'done-ring-in-books', r.id FROM swap_ring r
    JOIN swap_ring_member m ON m.cooperative_id = r.cooperative_id AND m.ring_id = r.id
    WHERE r.state = 'done' AND (
      (SELECT count(*) FROM entry e WHERE e.cooperative_id = r.cooperative_id AND e.document_id = r.id AND e.kind = 'swap') <> 1 OR
      (SELECT coalesce(sum(p.amount), 0) FROM entry e
        JOIN posting p ON p.cooperative_id = e.cooperative_id AND p.entry_id = e.id
        JOIN account a ON a.cooperative_id = p.cooperative_id AND a.id = p.account_id
        WHERE e.cooperative_id = r.cooperative_id AND e.document_id = r.id AND a.household_id = m.household_id)
      <> (SELECT coalesce(sum(CASE m.household_id WHEN p.giver_household_id THEN c.portions WHEN p.receiver_household_id THEN -c.portions ELSE 0 END), 0)
          * 1000000::bigint
        FROM swap_ring_part p JOIN container c ON c.cooperative_id = p.cooperative_id AND c.id = p.container_id
        WHERE p.cooperative_id = r.cooperative_id AND p.ring_id = r.id))
  UNION ALL
  SELECT r.cooperative_id, 'done-ring-all-said-yes', r.id FROM swap_ring r
    JOIN swap_ring_member m ON m.cooperative_id = r.cooperative_id AND m.ring_id = r.id
    WHERE r.state = 'done' AND m.answer IS DISTINCT FROM 'accepted'
  UNION ALL
  SELECT r.cooperative_id, 'other-ring-moved-nothing', r.id FROM swap_ring r
    WHERE r.state <> 'done' AND EXISTS (SELECT FROM entry e WHERE e.cooperative_id = r.cooperative_id AND e.document_id = r.id)
  UNION ALL
  SELECT r.cooperative_id, 'waiting-ring-stands', r.id FROM swap_ring r
    JOIN swap_ring_part p ON p.cooperative_id = r.cooperative_id AND p.ring_id = r.id
    JOIN container c ON c.cooperative_id = p.cooperative_id AND c.id = p.container_id
    WHERE r.state = 'proposed' AND (c.state <> 'sealed' OR c.holder_household_id IS DISTINCT FROM p.giver_household_id)
  UNION ALL
  SELECT r.cooperative_id, 'ring-member-gives-and-gets', r.id FROM swap_ring r
    JOIN swap_ring_member m ON m.cooperative_id = r.cooperative_id AND m.ring_id = r.id
    WHERE NOT EXISTS (SELECT FROM swap_ring_part p WHERE p.cooperative_id = r.cooperative_id AND p.ring_id = r.id AND p.giver_household_id = m.household_id)
      OR NOT EXISTS (SELECT FROM swap_ring_part p WHERE p.cooperative_id = r.cooperative_id AND p.ring_id = r.id AND p.receiver_household_id = m.household_id)
  UNION ALL
  SELECT o.cooperative_id, 'live-offer-is-held', o.id FROM swap_offer o
    JOIN container c ON c.cooperative_id = o.cooperative_id AND c.id = o.container_id
    WHERE o.ended_at IS NULL AND (c.state <> 'sealed' OR c.holder_household_id IS DISTINCT FROM o.household_id)
  UNION ALL
  SELECT s.cooperative_id, 'answered-swap-has-answer', s.id FROM swap s
    WHERE s.state = 'answered' AND NOT EXISTS (SELECT FROM swap a WHERE a.cooperative_id = s.cooperative_id AND a.answers_id = s.id);
GRANT SELECT ON broken_invariant_swaps TO frostmoot_app;
