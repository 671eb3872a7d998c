-- Recalls: which lots of an ingredient were bought, which went into which batch, and what became of every container when one is called back.

CREATE TABLE ingredient_lot (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  receipt_line_id uuid NOT NULL,
  ingredient_id uuid NOT NULL,
  code text NOT NULL,
  best_before date,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT ingredient_lot_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT ingredient_lot_cooperative_id_receipt_line_id_fkey FOREIGN KEY (cooperative_id, receipt_line_id)
    REFERENCES receipt_line (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT ingredient_lot_cooperative_id_ingredient_id_fkey FOREIGN KEY (cooperative_id, ingredient_id)
    REFERENCES ingredient (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT ingredient_lot_code CHECK (code <> '')
);
CREATE UNIQUE INDEX ingredient_lot_cooperative_id_receipt_line_id_code_key ON ingredient_lot (cooperative_id, receipt_line_id, code);
CREATE INDEX ingredient_lot_cooperative_id_ingredient_id_idx ON ingredient_lot (cooperative_id, ingredient_id);

-- What the kitchen said went into a batch. For a batch of which nothing was said about an ingredient, every lot of it that was bought for the round may be in.
CREATE TABLE batch_lot (
  cooperative_id uuid NOT NULL,
  batch_id uuid NOT NULL,
  lot_id uuid NOT NULL,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT batch_lot_pkey PRIMARY KEY (cooperative_id, batch_id, lot_id),
  CONSTRAINT batch_lot_cooperative_id_batch_id_fkey FOREIGN KEY (cooperative_id, batch_id)
    REFERENCES batch (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT batch_lot_cooperative_id_lot_id_fkey FOREIGN KEY (cooperative_id, lot_id)
    REFERENCES ingredient_lot (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE
);
CREATE INDEX batch_lot_cooperative_id_lot_id_idx ON batch_lot (cooperative_id, lot_id);
CREATE INDEX recipe_line_cooperative_id_ingredient_id_idx ON recipe_line (cooperative_id, ingredient_id);

CREATE TABLE recall (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  drill boolean NOT NULL,
  source text NOT NULL,
  source_id uuid NOT NULL,
  what text NOT NULL,
  lot_code text NOT NULL,
  reason text NOT NULL DEFAULT '',
  reference text NOT NULL DEFAULT '',
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT recall_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT recall_cooperative_id_fkey FOREIGN KEY (cooperative_id) REFERENCES cooperative (id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT recall_source CHECK (source IN ('lot', 'receipt-line', 'batch'))
);

CREATE TABLE recall_batch (
  cooperative_id uuid NOT NULL,
  recall_id uuid NOT NULL,
  batch_id uuid NOT NULL,
  -- false: it may contain it, since nobody said which lot went in
  sure boolean NOT NULL,
  CONSTRAINT recall_batch_pkey PRIMARY KEY (cooperative_id, recall_id, batch_id),
  CONSTRAINT recall_batch_cooperative_id_recall_id_fkey FOREIGN KEY (cooperative_id, recall_id)
    REFERENCES recall (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT recall_batch_cooperative_id_batch_id_fkey FOREIGN KEY (cooperative_id, batch_id)
    REFERENCES batch (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE
);
CREATE INDEX recall_batch_cooperative_id_batch_id_idx ON recall_batch (cooperative_id, batch_id);

CREATE TABLE recall_answer (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  recall_id uuid NOT NULL,
  container_id uuid NOT NULL,
  answer text NOT NULL,
  eaten_on date,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT recall_answer_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT recall_answer_cooperative_id_recall_id_fkey FOREIGN KEY (cooperative_id, recall_id)
    REFERENCES recall (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  -- What is entered anew after a drill takes the old containers away, and what was said of them with it.
  CONSTRAINT recall_answer_cooperative_id_container_id_fkey FOREIGN KEY (cooperative_id, container_id)
    REFERENCES container (cooperative_id, id) ON DELETE CASCADE ON UPDATE CASCADE,
  CONSTRAINT recall_answer_answer CHECK (answer IN ('set-apart', 'eaten', 'given-away', 'not-found')),
  CONSTRAINT recall_answer_eaten CHECK (eaten_on IS NULL OR answer = 'eaten')
);
CREATE INDEX recall_answer_cooperative_id_recall_id_container_id_idx ON recall_answer (cooperative_id, recall_id, container_id, created_at);
CREATE INDEX recall_answer_cooperative_id_container_id_idx ON recall_answer (cooperative_id, container_id);

CREATE TABLE recall_closed (
  cooperative_id uuid NOT NULL,
  recall_id uuid NOT NULL,
  words text NOT NULL,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT recall_closed_pkey PRIMARY KEY (cooperative_id, recall_id),
  CONSTRAINT recall_closed_cooperative_id_recall_id_fkey FOREIGN KEY (cooperative_id, recall_id)
    REFERENCES recall (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE
);

CREATE TABLE suspicion (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  container_id uuid NOT NULL,
  household_id uuid NOT NULL,
  reason text NOT NULL,
  words text NOT NULL DEFAULT '',
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT suspicion_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT suspicion_cooperative_id_container_id_fkey FOREIGN KEY (cooperative_id, container_id)
    REFERENCES container (cooperative_id, id) ON DELETE CASCADE ON UPDATE CASCADE,
  CONSTRAINT suspicion_cooperative_id_household_id_fkey FOREIGN KEY (cooperative_id, household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT suspicion_reason CHECK (reason IN ('warm', 'mould', 'smell', 'other'))
);
CREATE INDEX suspicion_cooperative_id_container_id_idx ON suspicion (cooperative_id, container_id);

-- Facts that only grow; a container that its batch loses takes its answers and suspicions with it, which nobody but the foreign key may delete.
DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['ingredient_lot', 'batch_lot', 'recall', 'recall_batch', 'recall_answer', 'recall_closed', 'suspicion'] LOOP
    EXECUTE format('CREATE TRIGGER %I BEFORE UPDATE%s ON %I FOR EACH ROW EXECUTE FUNCTION refuse_change()',
      t || '_append_only', CASE WHEN t IN ('recall_answer', 'suspicion') THEN '' ELSE ' OR DELETE' END, t);
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY of_cooperative ON %I USING (cooperative_id = current_cooperative()) WITH CHECK (cooperative_id = current_cooperative())', t);
    EXECUTE format('GRANT SELECT, INSERT ON %I TO frostmoot_app', t);
  END LOOP;
END $$;

-- Which batches a source went into: told by the kitchen (sure), else derived from what the round's receipts brought and the recipes use (may contain).
CREATE FUNCTION traced_batches(p_cooperative uuid, p_source text, p_source_id uuid) RETURNS TABLE (batch_id uuid, sure boolean)
LANGUAGE sql STABLE AS $$
  WITH RECURSIVE origin AS (
    SELECT l.id AS lot_id, l.ingredient_id, r.round_id FROM ingredient_lot l
      JOIN receipt_line x ON x.cooperative_id = l.cooperative_id AND x.id = l.receipt_line_id
      JOIN receipt r ON r.cooperative_id = x.cooperative_id AND r.id = x.receipt_id
      WHERE l.cooperative_id = p_cooperative AND p_source = 'lot' AND l.id = p_source_id
    UNION ALL
    SELECT NULL, x.ingredient_id, r.round_id FROM receipt_line x
      JOIN receipt r ON r.cooperative_id = x.cooperative_id AND r.id = x.receipt_id
      WHERE x.cooperative_id = p_cooperative AND p_source = 'receipt-line' AND x.id = p_source_id AND x.ingredient_id IS NOT NULL
  ), lots AS (
    SELECT lot_id FROM origin WHERE lot_id IS NOT NULL
    UNION
    SELECT l.id FROM ingredient_lot l WHERE l.cooperative_id = p_cooperative AND p_source = 'receipt-line' AND l.receipt_line_id = p_source_id
  ), uses (version_id) AS (
    SELECT l.recipe_version_id FROM origin o
      JOIN recipe_line l ON l.cooperative_id = p_cooperative AND l.ingredient_id = o.ingredient_id
    UNION
    SELECT l.recipe_version_id FROM uses u
      JOIN recipe_line l ON l.cooperative_id = p_cooperative AND l.component_version_id = u.version_id
  ), told AS (
    SELECT bl.batch_id FROM batch_lot bl WHERE bl.cooperative_id = p_cooperative AND bl.lot_id IN (SELECT lot_id FROM lots)
  ), derived AS (
    SELECT b.id AS batch_id FROM origin o
      JOIN batch b ON b.cooperative_id = p_cooperative AND b.round_id = o.round_id AND b.recipe_version_id IN (SELECT version_id FROM uses)
      WHERE NOT EXISTS (SELECT FROM batch_lot bl JOIN ingredient_lot l ON l.cooperative_id = bl.cooperative_id AND l.id = bl.lot_id
        WHERE bl.cooperative_id = p_cooperative AND bl.batch_id = b.id AND l.ingredient_id = o.ingredient_id)
  )
  SELECT t.batch_id, true FROM told t
  UNION
  SELECT d.batch_id, false FROM derived d WHERE d.batch_id NOT IN (SELECT t.batch_id FROM told t)
  UNION
  SELECT b.id, true FROM batch b WHERE b.cooperative_id = p_cooperative AND p_source = 'batch' AND b.id = p_source_id
$$;
GRANT EXECUTE ON FUNCTION traced_batches(uuid, text, uuid) TO frostmoot_app;

-- What is sealed after its batch was recalled in earnest is recalled as well.
CREATE FUNCTION container_of_recalled_batch() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NEW.state = 'sealed' AND EXISTS (SELECT FROM recall_batch rb JOIN recall r ON r.cooperative_id = rb.cooperative_id AND r.id = rb.recall_id
      WHERE rb.cooperative_id = NEW.cooperative_id AND rb.batch_id = NEW.batch_id AND NOT r.drill) THEN
    NEW.state := 'recalled';
    NEW.ended_at := now();
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER container_of_recalled_batch BEFORE INSERT OR UPDATE OF state ON container FOR EACH ROW EXECUTE FUNCTION container_of_recalled_batch();

CREATE VIEW broken_invariant_recall WITH (security_invoker = true) AS
  SELECT c.cooperative_id, 'recalled-container-is-not-sealed' AS rule, c.id AS subject FROM recall r
    JOIN recall_batch rb ON rb.cooperative_id = r.cooperative_id AND rb.recall_id = r.id
    JOIN container c ON c.cooperative_id = rb.cooperative_id AND c.batch_id = rb.batch_id
    WHERE NOT r.drill AND c.state = 'sealed'
  UNION ALL
  SELECT c.cooperative_id, 'recalled-container-has-a-recall', c.id FROM container c
    WHERE c.state = 'recalled' AND NOT EXISTS (SELECT FROM recall_batch rb JOIN recall r ON r.cooperative_id = rb.cooperative_id AND r.id = rb.recall_id
      WHERE rb.cooperative_id = c.cooperative_id AND rb.batch_id = c.batch_id AND NOT r.drill)
  UNION ALL
  SELECT a.cooperative_id, 'answer-is-for-a-traced-container', a.id FROM recall_answer a
    JOIN container c ON c.cooperative_id = a.cooperative_id AND c.id = a.container_id
    WHERE NOT EXISTS (SELECT FROM recall_batch rb
      WHERE rb.cooperative_id = a.cooperative_id AND rb.recall_id = a.recall_id AND rb.batch_id = c.batch_id);
GRANT SELECT ON broken_invariant_recall TO frostmoot_app;

-- Answers kept for a repeated request are no use after a month; the purge looks for them in every cooperative and deletes under each by itself.
CREATE INDEX idempotency_key_created_at_idx ON idempotency_key (created_at);
CREATE POLICY of_purge ON idempotency_key FOR SELECT
  USING (current_setting('app.queue', true) = 'look' AND created_at < now() - interval '30 days');
CREATE FUNCTION cooperatives_with_old_keys(p_most int) RETURNS uuid[] LANGUAGE plpgsql VOLATILE AS $$
DECLARE found uuid[];
BEGIN
  PERFORM set_config('app.queue', 'look', true);
  SELECT array_agg(DISTINCT k.cooperative_id) INTO found FROM (
    SELECT i.cooperative_id FROM idempotency_key i WHERE i.created_at < now() - interval '30 days' LIMIT p_most) k;
  PERFORM set_config('app.queue', '', true);
  RETURN coalesce(found, '{}');
END $$;
GRANT EXECUTE ON FUNCTION cooperatives_with_old_keys(int) TO frostmoot_app;
