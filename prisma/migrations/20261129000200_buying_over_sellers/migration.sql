-- Buying over several sellers at once: what a seller asks for beside its prices, how many packs an offer is for, and the plan as it was when buying began.
ALTER TABLE seller ADD COLUMN free_from_minor bigint, ADD COLUMN minimum_minor bigint NOT NULL DEFAULT 0,
  ADD CONSTRAINT seller_free_from CHECK (free_from_minor >= 0),
  ADD CONSTRAINT seller_minimum CHECK (minimum_minor >= 0);
ALTER TABLE offer ADD COLUMN min_packs integer, ADD COLUMN max_packs integer,
  ADD CONSTRAINT offer_min_packs CHECK (min_packs BETWEEN 1 AND 100000),
  ADD CONSTRAINT offer_max_packs CHECK (max_packs BETWEEN 1 AND 100000 AND max_packs >= coalesce(min_packs, 1));

-- Terms and comparison stand as they were: what a seller asks later changes nothing of what is bought.
CREATE TABLE buy_plan (
  cooperative_id uuid NOT NULL,
  round_id uuid NOT NULL,
  terms jsonb NOT NULL,
  result jsonb NOT NULL,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT buy_plan_pkey PRIMARY KEY (cooperative_id, round_id),
  CONSTRAINT buy_plan_cooperative_id_round_id_fkey FOREIGN KEY (cooperative_id, round_id)
    REFERENCES round (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE
);
CREATE TRIGGER buy_plan_append_only BEFORE UPDATE OR DELETE ON buy_plan FOR EACH ROW EXECUTE FUNCTION refuse_change();
ALTER TABLE buy_plan ENABLE ROW LEVEL SECURITY;
ALTER TABLE buy_plan FORCE ROW LEVEL SECURITY;
CREATE POLICY of_cooperative ON buy_plan USING (cooperative_id = current_cooperative()) WITH CHECK (cooperative_id = current_cooperative());
GRANT SELECT, INSERT ON buy_plan TO frostmoot_app;

CREATE VIEW broken_invariant_buying WITH (security_invoker = true) AS
  SELECT b.cooperative_id, 'kept-plan-of-round-being-planned' AS rule, b.round_id AS subject
    FROM buy_plan b JOIN round r ON r.cooperative_id = b.cooperative_id AND r.id = b.round_id
    WHERE r.stage = 'planning'
  UNION ALL
  -- Whoever is bought from is in the plan with what it asks.
  SELECT b.cooperative_id, 'kept-plan-names-its-sellers', b.round_id
    FROM buy_plan b
    JOIN purchase p ON p.cooperative_id = b.cooperative_id AND p.round_id = b.round_id
    JOIN offer o ON o.cooperative_id = p.cooperative_id AND o.id = p.offer_id
    WHERE NOT b.terms ? o.seller_id::text;
GRANT SELECT ON broken_invariant_buying TO frostmoot_app;
