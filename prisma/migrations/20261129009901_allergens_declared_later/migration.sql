-- What an ingredient is declared to contain later counts for every recipe version with it inside, from that moment: a version's two lists grow and
-- never shrink, and what was added, by which ingredient and when, stays as a fact.
CREATE TABLE declared_later (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  recipe_version_id uuid NOT NULL,
  ingredient_id uuid NOT NULL,
  allergens text[] NOT NULL,
  unfit_for text[] NOT NULL,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL,
  CONSTRAINT declared_later_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT declared_later_cooperative_id_recipe_version_id_fkey FOREIGN KEY (cooperative_id, recipe_version_id)
    REFERENCES recipe_version (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT declared_later_cooperative_id_ingredient_id_fkey FOREIGN KEY (cooperative_id, ingredient_id)
    REFERENCES ingredient (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT declared_later_something CHECK (cardinality(allergens) + cardinality(unfit_for) > 0)
);
CREATE INDEX declared_later_cooperative_id_recipe_version_id_idx ON declared_later (cooperative_id, recipe_version_id);
CREATE INDEX recipe_line_cooperative_id_component_version_id_idx ON recipe_line (cooperative_id, component_version_id);

CREATE TRIGGER declared_later_append_only BEFORE UPDATE OR DELETE ON declared_later FOR EACH ROW EXECUTE FUNCTION refuse_change();
ALTER TABLE declared_later ENABLE ROW LEVEL SECURITY;
ALTER TABLE declared_later FORCE ROW LEVEL SECURITY;
CREATE POLICY of_cooperative ON declared_later USING (cooperative_id = current_cooperative()) WITH CHECK (cooperative_id = current_cooperative());
GRANT SELECT, INSERT ON declared_later TO frostmoot_app;

-- A version is still append-only but for these two lists, out of which nothing may go.
CREATE FUNCTION recipe_version_only_grows() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF to_jsonb(NEW) - '{allergens,unfit_for}'::text[] <> to_jsonb(OLD) - '{allergens,unfit_for}'::text[]
    OR NOT (NEW.allergens @> OLD.allergens AND NEW.unfit_for @> OLD.unfit_for) THEN
    RAISE EXCEPTION 'a recipe version only grows in its allergens' USING ERRCODE = '23514', CONSTRAINT = 'recipe_version_append_only';
  END IF;
  RETURN NEW;
END $$;
DROP TRIGGER recipe_version_append_only ON recipe_version;
CREATE TRIGGER recipe_version_append_only BEFORE DELETE ON recipe_version FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER recipe_version_only_grows BEFORE UPDATE ON recipe_version FOR EACH ROW EXECUTE FUNCTION recipe_version_only_grows();
GRANT UPDATE (allergens, unfit_for) ON recipe_version TO frostmoot_app;

CREATE VIEW broken_invariant_recipes WITH (security_invoker = true) AS
  SELECT d.cooperative_id, 'declared-later-is-in-version' AS rule, d.id AS subject FROM declared_later d
    JOIN recipe_version v ON v.cooperative_id = d.cooperative_id AND v.id = d.recipe_version_id
    WHERE NOT (v.allergens @> d.allergens AND v.unfit_for @> d.unfit_for);
GRANT SELECT ON broken_invariant_recipes TO frostmoot_app;

CREATE OR REPLACE VIEW broken_invariant WITH (security_invoker = true) AS
  SELECT cooperative_id, rule, subject FROM broken_invariant_books
  UNION ALL SELECT cooperative_id, rule, subject FROM broken_invariant_buying
  UNION ALL SELECT cooperative_id, rule, subject FROM broken_invariant_rota
  UNION ALL SELECT cooperative_id, rule, subject FROM broken_invariant_claims
  UNION ALL SELECT cooperative_id, rule, subject FROM broken_invariant_swaps
  UNION ALL SELECT cooperative_id, rule, subject FROM broken_invariant_recall
  UNION ALL SELECT cooperative_id, rule, subject FROM broken_invariant_stock
  UNION ALL SELECT cooperative_id, rule, subject FROM broken_invariant_recipes;

-- As before, but what was declared after a household got its container breaks nothing: of that it is told.
CREATE OR REPLACE VIEW broken_invariant_books WITH (security_invoker = true) AS
  SELECT cooperative_id, 'entry-balances' AS rule, entry_id AS subject FROM posting GROUP BY cooperative_id, entry_id HAVING sum(amount) <> 0
  UNION ALL
  SELECT e.cooperative_id, 'entry-has-postings', e.id FROM entry e
    WHERE NOT EXISTS (SELECT FROM posting p WHERE p.cooperative_id = e.cooperative_id AND p.entry_id = e.id)
  UNION ALL
  SELECT a.cooperative_id, 'balance-is-sum-of-postings', a.id FROM account a
    WHERE a.balance <> (SELECT coalesce(sum(p.amount), 0) FROM posting p WHERE p.cooperative_id = a.cooperative_id AND p.account_id = a.id)
  UNION ALL
  SELECT b.cooperative_id, 'batch-portions-in-containers', b.id FROM batch b
    WHERE coalesce(b.actual_portions, 0) <> (SELECT coalesce(sum(c.portions), 0) FROM container c WHERE c.cooperative_id = b.cooperative_id AND c.batch_id = b.id)
  UNION ALL
  SELECT r.cooperative_id, 'receipt-is-sum-of-lines', r.id FROM receipt r
    WHERE r.total_minor <> (SELECT coalesce(sum(l.amount_minor), 0) FROM receipt_line l WHERE l.cooperative_id = r.cooperative_id AND l.receipt_id = r.id)
  UNION ALL
  SELECT l.cooperative_id, 'split-sums-to-line', l.id FROM receipt_line l
    WHERE l.amount_minor <> (SELECT coalesce(sum(v.value::numeric), 0) FROM jsonb_each_text(l.amounts) v)
  UNION ALL
  SELECT c.cooperative_id, 'live-claim-is-holder', c.id FROM claim cl JOIN container c ON c.cooperative_id = cl.cooperative_id AND c.id = cl.container_id
    WHERE cl.ended_at IS NULL AND c.holder_household_id IS DISTINCT FROM cl.household_id
  UNION ALL
  SELECT c.cooperative_id, 'held-container-has-claim', c.id FROM container c
    WHERE c.holder_household_id IS NOT NULL
      AND NOT EXISTS (SELECT FROM claim cl WHERE cl.cooperative_id = c.cooperative_id AND cl.container_id = c.id AND cl.household_id = c.holder_household_id AND cl.ended_at IS NULL)
  UNION ALL
  -- What somebody must not eat as the round counted it, or as it was known when the household got the container; what is learnt later breaks nothing.
  SELECT c.cooperative_id, 'holder-may-eat', c.id FROM container c
    JOIN claim cl ON cl.cooperative_id = c.cooperative_id AND cl.container_id = c.id AND cl.ended_at IS NULL
    JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
    JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
    CROSS JOIN LATERAL (
      SELECT array_agg(x.subject) AS subjects FROM (
        SELECT unnest(p.must_not) AS subject FROM (
          SELECT p.must_not FROM round_participant p WHERE p.cooperative_id = b.cooperative_id AND p.round_id = b.round_id
            AND p.household_id = c.holder_household_id ORDER BY p.from_date DESC LIMIT 1) p
        UNION
        SELECT r.subject FROM diner d JOIN diner_restriction r ON r.cooperative_id = d.cooperative_id AND r.diner_id = d.id
          WHERE d.cooperative_id = c.cooperative_id AND d.household_id = c.holder_household_id AND r.strength = 'hard' AND r.created_at < cl.created_at) x
      WHERE x.subject = ANY (v.unfit_for) AND NOT EXISTS (SELECT FROM declared_later l WHERE l.cooperative_id = v.cooperative_id
        AND l.recipe_version_id = v.id AND x.subject = ANY (l.unfit_for) AND l.created_at >= cl.created_at)) unfit
    WHERE c.state = 'sealed' AND unfit.subjects IS NOT NULL
      AND NOT EXISTS (SELECT FROM exclusion_confirmed x WHERE x.cooperative_id = c.cooperative_id AND x.container_id = c.id
        AND x.household_id = c.holder_household_id AND x.subjects @> unfit.subjects)
  UNION ALL
  -- What a swap brings may come from any round; what is claimed from the pool may not.
  SELECT cl.cooperative_id, 'claimer-takes-part', cl.id FROM claim cl
    JOIN container c ON c.cooperative_id = cl.cooperative_id AND c.id = cl.container_id
    JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
    WHERE cl.balance_after IS NOT NULL AND NOT EXISTS (SELECT FROM round_participant p
      WHERE p.cooperative_id = cl.cooperative_id AND p.round_id = b.round_id AND p.household_id = cl.household_id)
  UNION ALL
  SELECT r.cooperative_id, 'receipt-in-books', r.id FROM receipt r
    WHERE EXISTS (SELECT FROM household h WHERE h.cooperative_id = r.cooperative_id AND
      (SELECT coalesce(sum(p.amount), 0) FROM entry e
        JOIN posting p ON p.cooperative_id = e.cooperative_id AND p.entry_id = e.id
        JOIN account a ON a.cooperative_id = p.cooperative_id AND a.id = p.account_id
        WHERE e.cooperative_id = r.cooperative_id AND e.document_id = r.id AND e.book = 'money' AND a.household_id = h.id)
      <> CASE WHEN r.paid_by_household_id = h.id THEN r.total_minor ELSE 0 END
        - (SELECT coalesce(sum((l.amounts ->> h.id::text)::numeric), 0) FROM receipt_line l WHERE l.cooperative_id = r.cooperative_id AND l.receipt_id = r.id))
  UNION ALL
  SELECT s.cooperative_id, 'done-swap-moved', s.id FROM swap s JOIN swap_part p ON p.cooperative_id = s.cooperative_id AND p.swap_id = s.id
    WHERE s.state = 'done' AND NOT EXISTS (SELECT FROM claim cl
      WHERE cl.cooperative_id = s.cooperative_id AND cl.container_id = p.container_id AND cl.household_id = p.receiver_household_id)
  UNION ALL
  -- Each side's postings are what it gave less what it got.
  SELECT s.cooperative_id, 'done-swap-in-books', s.id FROM swap s CROSS JOIN LATERAL (VALUES (s.from_household_id), (s.to_household_id)) side (household_id)
    WHERE s.state = 'done' AND (NOT EXISTS (SELECT FROM entry e WHERE e.cooperative_id = s.cooperative_id AND e.document_id = s.id AND e.kind = 'swap') OR
      (SELECT coalesce(sum(p.amount), 0) FROM entry e
        JOIN posting p ON p.cooperative_id = e.cooperative_id AND p.entry_id = e.id
        JOIN account a ON a.cooperative_id = p.cooperative_id AND a.id = p.account_id
        WHERE e.cooperative_id = s.cooperative_id AND e.document_id = s.id AND e.kind = 'swap' AND a.household_id = side.household_id)
      <> (SELECT coalesce(sum(CASE WHEN w.giver_household_id = side.household_id THEN c.portions ELSE -c.portions END), 0) * 1000000::bigint
        FROM swap_part w JOIN container c ON c.cooperative_id = w.cooperative_id AND c.id = w.container_id
        WHERE w.cooperative_id = s.cooperative_id AND w.swap_id = s.id))
  UNION ALL
  SELECT s.cooperative_id, 'other-swap-moved-nothing', s.id FROM swap s
    WHERE s.state <> 'done' AND EXISTS (SELECT FROM entry e WHERE e.cooperative_id = s.cooperative_id AND e.document_id = s.id)
  UNION ALL
  SELECT s.cooperative_id, 'confirmed-share-out-in-books', s.id FROM share_out s
    WHERE s.state = 'confirmed' AND NOT EXISTS (SELECT FROM entry e WHERE e.cooperative_id = s.cooperative_id AND e.document_id = s.id AND e.kind = 'share-out')
  UNION ALL
  SELECT s.cooperative_id, 'confirmed-share-out-set-aside', s.id FROM share_out s
    WHERE s.state = 'confirmed' AND EXISTS (SELECT FROM jsonb_each(s.assigned) g CROSS JOIN jsonb_array_elements_text(g.value) box
      WHERE NOT EXISTS (SELECT FROM claim cl WHERE cl.cooperative_id = s.cooperative_id AND cl.container_id = box::uuid AND cl.household_id = g.key::uuid));
