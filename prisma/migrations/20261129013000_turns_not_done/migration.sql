-- A turn that nobody had when its week was over is not done; it stays in the rota as that, and is due of nobody any more.
ALTER TABLE rota_turn
  DROP CONSTRAINT rota_turn_state, ADD CONSTRAINT rota_turn_state CHECK (state IN ('published', 'swapped', 'covered', 'open', 'not-done')),
  DROP CONSTRAINT rota_turn_open, ADD CONSTRAINT rota_turn_open CHECK ((state IN ('open', 'not-done')) = (household_id IS NULL));
ALTER TABLE entry
  DROP CONSTRAINT entry_turns, ADD CONSTRAINT entry_turns CHECK (book <> 'turns' OR kind IN ('rota-published', 'cover', 'turn-swapped', 'illness',
    'turns-not-done', 'opening', 'reversal')),
  DROP CONSTRAINT entry_kind, ADD CONSTRAINT entry_kind CHECK (kind IN ('receipt-paid', 'cost-split', 'adjustment', 'payment', 'write-off',
    'opening', 'share-out', 'claim', 'release', 'swap', 'loss', 'rota-published', 'cover', 'turn-swapped', 'illness', 'turns-not-done', 'reversal'));

CREATE OR REPLACE VIEW broken_invariant_rota WITH (security_invoker = true) AS
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
  -- The common account is down by the turns that nobody has and somebody may still take.
  SELECT c.id, 'open-turns-in-common', c.id FROM cooperative c
    WHERE (SELECT coalesce(sum(a.balance), 0) FROM account a WHERE a.cooperative_id = c.id AND a.book = 'turns' AND a.kind = 'common')
      <> -1000000 * (SELECT count(*) FROM rota_turn t WHERE t.cooperative_id = c.id AND t.state = 'open')
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
