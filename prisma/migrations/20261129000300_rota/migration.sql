-- Who cooks in which week: what a household's turns depend on, drafts and published turns, swaps of turns, and the third book.
ALTER TABLE household ADD COLUMN pot_ml integer, ADD COLUMN min_gap_weeks integer NOT NULL DEFAULT 0,
  ADD CONSTRAINT household_pots CHECK (pot_ml BETWEEN 0 AND 100000000),
  ADD CONSTRAINT household_min_gap CHECK (min_gap_weeks BETWEEN 0 AND 52);

CREATE TABLE away_week (
  cooperative_id uuid NOT NULL,
  household_id uuid NOT NULL,
  week_of date NOT NULL,
  CONSTRAINT away_week_pkey PRIMARY KEY (cooperative_id, household_id, week_of),
  CONSTRAINT away_week_cooperative_id_household_id_fkey FOREIGN KEY (cooperative_id, household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT away_week_monday CHECK (extract(isodow FROM week_of) = 1)
);

CREATE TABLE cooking_skill (
  cooperative_id uuid NOT NULL,
  household_id uuid NOT NULL,
  recipe_id uuid NOT NULL,
  CONSTRAINT cooking_skill_pkey PRIMARY KEY (cooperative_id, household_id, recipe_id),
  CONSTRAINT cooking_skill_cooperative_id_household_id_fkey FOREIGN KEY (cooperative_id, household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT cooking_skill_cooperative_id_recipe_id_fkey FOREIGN KEY (cooperative_id, recipe_id)
    REFERENCES recipe (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE
);
CREATE INDEX cooking_skill_cooperative_id_recipe_id_idx ON cooking_skill (cooperative_id, recipe_id);

CREATE TABLE rota (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  state text NOT NULL DEFAULT 'draft',
  weeks jsonb NOT NULL,
  input jsonb NOT NULL,
  result jsonb NOT NULL,
  turns jsonb NOT NULL,
  accepted jsonb NOT NULL DEFAULT '[]',
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  published_by uuid,
  published_at timestamptz(3),
  version integer NOT NULL DEFAULT 1,
  CONSTRAINT rota_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT rota_cooperative_id_fkey FOREIGN KEY (cooperative_id) REFERENCES cooperative (id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT rota_state CHECK (state IN ('draft', 'published', 'set-aside')),
  CONSTRAINT rota_published CHECK ((state = 'published') = (published_at IS NOT NULL))
);
CREATE UNIQUE INDEX rota_one_draft ON rota (cooperative_id) WHERE state = 'draft';

CREATE TABLE rota_turn (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  rota_id uuid NOT NULL,
  week_of date NOT NULL,
  household_id uuid,
  cook_day_id uuid,
  state text NOT NULL DEFAULT 'published',
  version integer NOT NULL DEFAULT 1,
  CONSTRAINT rota_turn_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT rota_turn_cooperative_id_rota_id_fkey FOREIGN KEY (cooperative_id, rota_id)
    REFERENCES rota (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT rota_turn_cooperative_id_household_id_fkey FOREIGN KEY (cooperative_id, household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT rota_turn_cooperative_id_cook_day_id_fkey FOREIGN KEY (cooperative_id, cook_day_id)
    REFERENCES cook_day (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT rota_turn_state CHECK (state IN ('published', 'swapped', 'covered', 'open')),
  CONSTRAINT rota_turn_open CHECK ((state = 'open') = (household_id IS NULL)),
  CONSTRAINT rota_turn_monday CHECK (extract(isodow FROM week_of) = 1)
);
CREATE INDEX rota_turn_cooperative_id_week_of_idx ON rota_turn (cooperative_id, week_of);
-- Nobody cooks twice in one week.
CREATE UNIQUE INDEX rota_turn_one_a_week ON rota_turn (cooperative_id, week_of, household_id) WHERE household_id IS NOT NULL;

CREATE TABLE rota_turn_move (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  turn_id uuid NOT NULL,
  kind text NOT NULL,
  from_household_id uuid,
  to_household_id uuid,
  document_id uuid,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT rota_turn_move_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT rota_turn_move_cooperative_id_turn_id_fkey FOREIGN KEY (cooperative_id, turn_id)
    REFERENCES rota_turn (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT rota_turn_move_kind CHECK (kind IN ('published', 'cover', 'swap', 'illness'))
);
CREATE INDEX rota_turn_move_cooperative_id_turn_id_idx ON rota_turn_move (cooperative_id, turn_id);
CREATE TRIGGER rota_turn_move_append_only BEFORE UPDATE OR DELETE ON rota_turn_move FOR EACH ROW EXECUTE FUNCTION refuse_change();

CREATE TABLE turn_swap (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  from_household_id uuid NOT NULL,
  to_household_id uuid NOT NULL,
  gives_turn_id uuid NOT NULL,
  gets_turn_id uuid NOT NULL,
  state text NOT NULL DEFAULT 'proposed',
  words text NOT NULL DEFAULT '',
  open_until timestamptz(3) NOT NULL,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  answered_by uuid,
  answered_at timestamptz(3),
  version integer NOT NULL DEFAULT 1,
  CONSTRAINT turn_swap_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT turn_swap_cooperative_id_from_household_id_fkey FOREIGN KEY (cooperative_id, from_household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT turn_swap_cooperative_id_to_household_id_fkey FOREIGN KEY (cooperative_id, to_household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT turn_swap_cooperative_id_gives_turn_id_fkey FOREIGN KEY (cooperative_id, gives_turn_id)
    REFERENCES rota_turn (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT turn_swap_cooperative_id_gets_turn_id_fkey FOREIGN KEY (cooperative_id, gets_turn_id)
    REFERENCES rota_turn (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT turn_swap_state CHECK (state IN ('proposed', 'declined', 'withdrawn', 'lapsed', 'done')),
  CONSTRAINT turn_swap_two CHECK (from_household_id <> to_household_id AND gives_turn_id <> gets_turn_id)
);
CREATE INDEX turn_swap_cooperative_id_from_household_id_idx ON turn_swap (cooperative_id, from_household_id);
CREATE INDEX turn_swap_cooperative_id_to_household_id_idx ON turn_swap (cooperative_id, to_household_id);
CREATE INDEX turn_swap_cooperative_id_gives_turn_id_idx ON turn_swap (cooperative_id, gives_turn_id);
CREATE INDEX turn_swap_cooperative_id_gets_turn_id_idx ON turn_swap (cooperative_id, gets_turn_id);

-- What is published stays as it is; a draft only becomes published or is set aside.
CREATE FUNCTION rota_stays() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF OLD.state <> 'draft' THEN
    RAISE EXCEPTION 'a rota that is published or set aside stays as it is' USING ERRCODE = '23514', CONSTRAINT = 'rota_stays';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER rota_stays BEFORE UPDATE OR DELETE ON rota FOR EACH ROW EXECUTE FUNCTION rota_stays();

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['away_week', 'cooking_skill', 'rota', 'rota_turn', 'rota_turn_move', 'turn_swap'] LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY of_cooperative ON %I USING (cooperative_id = current_cooperative()) WITH CHECK (cooperative_id = current_cooperative())', t);
  END LOOP;
END $$;
GRANT SELECT, INSERT, DELETE ON away_week, cooking_skill TO frostmoot_app;
GRANT SELECT, INSERT, UPDATE ON rota, rota_turn, turn_swap TO frostmoot_app;
GRANT SELECT, INSERT ON rota_turn_move TO frostmoot_app;

-- The third book: turns in micro-turns.
ALTER TABLE account DROP CONSTRAINT account_kind, ADD CONSTRAINT account_kind CHECK (
  (book = 'money' AND kind IN ('household', 'stock', 'fund', 'outside')) OR (book IN ('portions', 'turns') AND kind IN ('household', 'common')));
ALTER TABLE entry DROP CONSTRAINT entry_book, ADD CONSTRAINT entry_book CHECK (book IN ('money', 'portions', 'turns')),
  ADD CONSTRAINT entry_turns CHECK (book <> 'turns' OR kind IN ('rota-published', 'cover', 'turn-swapped', 'illness', 'opening', 'reversal'));
ALTER TABLE entry DROP CONSTRAINT entry_kind, ADD CONSTRAINT entry_kind CHECK (kind IN ('receipt-paid', 'cost-split', 'adjustment', 'payment', 'write-off',
  'opening', 'share-out', 'claim', 'release', 'swap', 'loss', 'rota-published', 'cover', 'turn-swapped', 'illness', 'reversal'));

-- What must always be true of turns, as rows that break it.
CREATE VIEW broken_invariant_rota WITH (security_invoker = true) AS
  -- Whoever holds a turn is who it went to last; ids sort by when they were made, and moves are made one after the other.
  SELECT t.cooperative_id, 'turn-holder-is-last-move' AS rule, t.id AS subject FROM rota_turn t
    WHERE t.household_id IS DISTINCT FROM (SELECT m.to_household_id FROM rota_turn_move m
      WHERE m.cooperative_id = t.cooperative_id AND m.turn_id = t.id ORDER BY m.id DESC LIMIT 1)
      OR NOT EXISTS (SELECT FROM rota_turn_move m WHERE m.cooperative_id = t.cooperative_id AND m.turn_id = t.id)
  UNION ALL
  -- Each move begins where the one before ended.
  SELECT m.cooperative_id, 'turn-moves-in-a-row', m.turn_id FROM (
    SELECT m.*, lag(m.to_household_id) OVER (PARTITION BY m.cooperative_id, m.turn_id ORDER BY m.id) AS held FROM rota_turn_move m) m
    WHERE m.from_household_id IS DISTINCT FROM m.held
  UNION ALL
  -- A cook day that a turn was taken into has its cook.
  SELECT t.cooperative_id, 'turn-in-cook-day', t.id FROM rota_turn t
    WHERE t.cook_day_id IS NOT NULL AND t.household_id IS NOT NULL AND NOT EXISTS (SELECT FROM turn c
      WHERE c.cooperative_id = t.cooperative_id AND c.cook_day_id = t.cook_day_id AND c.household_id = t.household_id)
  UNION ALL
  SELECT a.cooperative_id, 'turns-sum-to-zero', a.cooperative_id FROM account a WHERE a.book = 'turns' GROUP BY a.cooperative_id HAVING sum(a.balance) <> 0
  UNION ALL
  -- The common account is down by the turns that nobody has.
  SELECT c.id, 'open-turns-in-common', c.id FROM cooperative c
    WHERE (SELECT coalesce(sum(a.balance), 0) FROM account a WHERE a.cooperative_id = c.id AND a.book = 'turns' AND a.kind = 'common')
      <> -1000000 * (SELECT count(*) FROM rota_turn t WHERE t.cooperative_id = c.id AND t.household_id IS NULL)
  UNION ALL
  -- What a household got and gave up is what the book says it got and gave up.
  SELECT h.cooperative_id, 'moves-in-turns-book', h.id FROM household h
    WHERE (SELECT coalesce(sum(p.amount), 0) FROM account a
        JOIN posting p ON p.cooperative_id = a.cooperative_id AND p.account_id = a.id
        WHERE a.cooperative_id = h.cooperative_id AND a.household_id = h.id AND a.book = 'turns' AND p.facts ->> 'part' <> 'due')
      <> 1000000 * (SELECT coalesce(sum(CASE WHEN m.from_household_id = h.id THEN 1 ELSE 0 END - CASE WHEN m.to_household_id = h.id THEN 1 ELSE 0 END), 0)
        FROM rota_turn_move m WHERE m.cooperative_id = h.cooperative_id)
  UNION ALL
  -- A swap that is done moved both turns, and one that is not moved none.
  SELECT s.cooperative_id, 'done-turn-swap-moved-both', s.id FROM turn_swap s
    WHERE (SELECT count(*) FROM rota_turn_move m WHERE m.cooperative_id = s.cooperative_id AND m.document_id = s.id
        AND ((m.turn_id = s.gives_turn_id AND m.from_household_id = s.from_household_id AND m.to_household_id = s.to_household_id)
          OR (m.turn_id = s.gets_turn_id AND m.from_household_id = s.to_household_id AND m.to_household_id = s.from_household_id)))
      <> CASE WHEN s.state = 'done' THEN 2 ELSE 0 END
      OR (SELECT count(*) FROM entry e WHERE e.cooperative_id = s.cooperative_id AND e.document_id = s.id AND e.kind = 'turn-swapped')
      <> CASE WHEN s.state = 'done' THEN 1 ELSE 0 END;
GRANT SELECT ON broken_invariant_rota TO frostmoot_app;
