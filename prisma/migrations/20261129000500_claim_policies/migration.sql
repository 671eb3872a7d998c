-- Claims by the policy of each cooperative: before the share-out, after it from the pool, or not at all; windows in which they are open; a waiting
-- list for each dish; and corrections of a share-out that is confirmed, each an entry of its own.

ALTER TABLE cooperative
  ADD COLUMN claim_policy text NOT NULL DEFAULT 'after',
  ADD COLUMN waiting_hours integer NOT NULL DEFAULT 24,
  ADD CONSTRAINT cooperative_claim_policy CHECK (claim_policy IN ('before', 'after', 'none')),
  ADD CONSTRAINT cooperative_waiting_hours CHECK (waiting_hours BETWEEN 1 AND 336);

-- When the containers of a round may be claimed; without a row there is no limit in time.
CREATE TABLE claim_window (
  cooperative_id uuid NOT NULL,
  round_id uuid NOT NULL,
  opens_at timestamptz(3) NOT NULL,
  closes_at timestamptz(3) NOT NULL,
  version integer NOT NULL DEFAULT 1,
  CONSTRAINT claim_window_pkey PRIMARY KEY (cooperative_id, round_id),
  CONSTRAINT claim_window_cooperative_id_round_id_fkey FOREIGN KEY (cooperative_id, round_id)
    REFERENCES round (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT claim_window_order CHECK (opens_at < closes_at)
);

-- A household's claim before the share-out. The container stays in the common freezer and is given to it by the share-out; entering a batch anew
-- makes other containers, and the claims on the former ones go with them.
CREATE TABLE early_claim (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  container_id uuid NOT NULL,
  household_id uuid NOT NULL,
  balance_after bigint NOT NULL,
  ahead_limit bigint NOT NULL,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT early_claim_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT early_claim_cooperative_id_container_id_fkey FOREIGN KEY (cooperative_id, container_id)
    REFERENCES container (cooperative_id, id) ON DELETE CASCADE ON UPDATE CASCADE,
  CONSTRAINT early_claim_cooperative_id_household_id_fkey FOREIGN KEY (cooperative_id, household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT early_claim_within_limit CHECK (balance_after >= -ahead_limit)
);
CREATE UNIQUE INDEX early_claim_cooperative_id_container_id_key ON early_claim (cooperative_id, container_id);

-- Who waits for a dish, in the order in which they came; when a container of it is free, it is kept for the first who may have it.
CREATE TABLE waiting (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  household_id uuid NOT NULL,
  recipe_id uuid NOT NULL,
  state text NOT NULL DEFAULT 'waiting',
  container_id uuid,
  kept_until timestamptz(3),
  told_at timestamptz(3),
  ended_at timestamptz(3),
  version integer NOT NULL DEFAULT 1,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT waiting_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT waiting_cooperative_id_household_id_fkey FOREIGN KEY (cooperative_id, household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT waiting_cooperative_id_recipe_id_fkey FOREIGN KEY (cooperative_id, recipe_id)
    REFERENCES recipe (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT waiting_cooperative_id_container_id_fkey FOREIGN KEY (cooperative_id, container_id)
    REFERENCES container (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT waiting_state CHECK (state IN ('waiting', 'kept', 'met', 'lapsed', 'left')),
  CONSTRAINT waiting_kept CHECK (state <> 'kept' OR (container_id IS NOT NULL AND kept_until IS NOT NULL)),
  CONSTRAINT waiting_ended CHECK ((state IN ('waiting', 'kept')) = (ended_at IS NULL))
);
CREATE UNIQUE INDEX waiting_once ON waiting (cooperative_id, household_id, recipe_id) WHERE ended_at IS NULL;
CREATE UNIQUE INDEX waiting_kept_once ON waiting (cooperative_id, container_id) WHERE state = 'kept';
CREATE INDEX waiting_cooperative_id_recipe_id_idx ON waiting (cooperative_id, recipe_id);

-- What turned out wrong after a share-out was confirmed; the share-out itself stays as it is.
CREATE TABLE share_out_correction (
  cooperative_id uuid NOT NULL,
  id uuid NOT NULL,
  share_out_id uuid NOT NULL,
  container_id uuid NOT NULL,
  kind text NOT NULL,
  from_household_id uuid NOT NULL,
  to_household_id uuid,
  reason text NOT NULL,
  created_by uuid NOT NULL,
  created_at timestamptz(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
  CONSTRAINT share_out_correction_pkey PRIMARY KEY (cooperative_id, id),
  CONSTRAINT share_out_correction_cooperative_id_share_out_id_fkey FOREIGN KEY (cooperative_id, share_out_id)
    REFERENCES share_out (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT share_out_correction_cooperative_id_container_id_fkey FOREIGN KEY (cooperative_id, container_id)
    REFERENCES container (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT share_out_correction_cooperative_id_from_household_id_fkey FOREIGN KEY (cooperative_id, from_household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT share_out_correction_cooperative_id_to_household_id_fkey FOREIGN KEY (cooperative_id, to_household_id)
    REFERENCES household (cooperative_id, id) ON DELETE RESTRICT ON UPDATE CASCADE,
  CONSTRAINT share_out_correction_kind CHECK (kind IN ('broken', 'other-household')),
  CONSTRAINT share_out_correction_to CHECK ((kind = 'other-household') = (to_household_id IS NOT NULL) AND to_household_id IS DISTINCT FROM from_household_id),
  CONSTRAINT share_out_correction_reason CHECK (reason <> '')
);
CREATE INDEX share_out_correction_cooperative_id_share_out_id_idx ON share_out_correction (cooperative_id, share_out_id);
CREATE TRIGGER share_out_correction_append_only BEFORE UPDATE OR DELETE ON share_out_correction FOR EACH ROW EXECUTE FUNCTION refuse_change();

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['claim_window', 'early_claim', 'waiting', 'share_out_correction'] LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY of_cooperative ON %I USING (cooperative_id = current_cooperative()) WITH CHECK (cooperative_id = current_cooperative())', t);
  END LOOP;
END $$;
GRANT SELECT, INSERT, UPDATE, DELETE ON claim_window TO frostmoot_app;
GRANT SELECT, INSERT, DELETE ON early_claim TO frostmoot_app;
GRANT SELECT, INSERT, UPDATE ON waiting TO frostmoot_app;
GRANT SELECT, INSERT ON share_out_correction TO frostmoot_app;

CREATE FUNCTION iso_instant(p_at timestamptz) RETURNS text LANGUAGE sql STABLE AS
  $$ SELECT to_char(p_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"') $$;

-- Why a free container of a round cannot be claimed now by anybody; a null status when it can.
CREATE FUNCTION why_no_claims(p_cooperative uuid, p_round uuid, p_is_shared boolean, p_now timestamptz, OUT status text, OUT answer jsonb)
LANGUAGE plpgsql STABLE AS $$
DECLARE
  policy text;
  stage text;
  limits claim_window;
BEGIN
  SELECT k.claim_policy INTO policy FROM cooperative k WHERE k.id = p_cooperative;
  SELECT r.stage INTO stage FROM round r WHERE r.cooperative_id = p_cooperative AND r.id = p_round;
  IF policy = 'none' THEN status := 'no-claims'; RETURN; END IF;
  IF NOT p_is_shared AND (policy <> 'before' OR stage <> 'sharing') THEN status := 'claims-closed'; RETURN; END IF;
  -- Where claims come first, what is over after the share-out is open to everybody.
  IF policy = 'before' AND p_is_shared THEN RETURN; END IF;
  SELECT * INTO limits FROM claim_window w WHERE w.cooperative_id = p_cooperative AND w.round_id = p_round;
  IF limits.opens_at > p_now THEN
    status := 'claims-not-yet';
    answer := jsonb_build_object('opensAt', iso_instant(limits.opens_at), 'closesAt', iso_instant(limits.closes_at));
  ELSIF limits.closes_at <= p_now THEN
    status := 'claims-over';
    answer := jsonb_build_object('closedAt', iso_instant(limits.closes_at));
  END IF;
END $$;

-- A household's part of what is there of a round, by headcount alone, in whole micro-portions rounded down: how far it may claim before the
-- share-out. Weights are brought to one denominator, so that nothing is rounded before the end.
CREATE FUNCTION part_by_weight(p_cooperative uuid, p_round uuid, p_household uuid, p_today date) RETURNS bigint LANGUAGE plpgsql STABLE AS $$
DECLARE
  bottom numeric := 1;
  total numeric := 0;
  own numeric := 0;
  portions numeric;
  one record;
BEGIN
  FOR one IN
    SELECT h.id, split_part(p.weight, '/', 1)::numeric AS n, coalesce(nullif(split_part(p.weight, '/', 2), '')::numeric, 1) AS d
      FROM household h CROSS JOIN LATERAL participant_in_force(p_cooperative, p_round, h.id, p_today) p
      WHERE h.cooperative_id = p_cooperative
  LOOP
    -- What is there so far comes to the new denominator as well.
    total := total * (lcm(bottom, one.d) / bottom);
    own := own * (lcm(bottom, one.d) / bottom);
    bottom := lcm(bottom, one.d);
    total := total + one.n * (bottom / one.d);
    IF one.id = p_household THEN own := own + one.n * (bottom / one.d); END IF;
  END LOOP;
  SELECT coalesce(sum(c.portions), 0) INTO portions FROM container c
    JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
    WHERE c.cooperative_id = p_cooperative AND b.round_id = p_round AND c.state = 'sealed' AND c.holder_household_id IS NULL;
  RETURN CASE WHEN total = 0 THEN 0 ELSE div(portions * 1000000 * own, total) END;
END $$;

-- Ends what was kept for too long and keeps what is free for the first in line who may have it: a household of the container's round, within its
-- allowance (what is kept for it already counted), with nobody who must not eat it.
CREATE FUNCTION settle_waiting(p_cooperative uuid, p_now timestamptz) RETURNS void LANGUAGE plpgsql VOLATILE AS $$
DECLARE
  policy record;
  today date;
  box record;
  first_id uuid;
BEGIN
  IF NOT EXISTS (SELECT FROM waiting w WHERE w.cooperative_id = p_cooperative AND w.ended_at IS NULL) THEN RETURN; END IF;
  -- One at a time in a cooperative, or two would keep two containers for the same household.
  PERFORM pg_advisory_xact_lock(hashtextextended('waiting ' || p_cooperative, 0));
  UPDATE waiting w SET state = 'lapsed', ended_at = p_now, version = w.version + 1
    WHERE w.cooperative_id = p_cooperative AND w.state = 'kept' AND w.kept_until <= p_now;
  -- What is gone is kept for nobody: its household stands in line again, where it stood.
  UPDATE waiting w SET state = 'waiting', container_id = NULL, kept_until = NULL, version = w.version + 1
    WHERE w.cooperative_id = p_cooperative AND w.state = 'kept' AND NOT EXISTS (SELECT FROM container c
      WHERE c.cooperative_id = p_cooperative AND c.id = w.container_id AND c.state = 'sealed' AND c.holder_household_id IS NULL);
  SELECT k.waiting_hours, k.claim_ahead_portions * 1000000::bigint AS ahead_limit, k.time_zone INTO policy FROM cooperative k WHERE k.id = p_cooperative;
  today := (p_now AT TIME ZONE policy.time_zone)::date;
  FOR box IN
    SELECT c.id, c.portions, v.recipe_id, b.round_id
      FROM container c
      JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
      JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
      WHERE c.cooperative_id = p_cooperative AND c.state = 'sealed' AND c.holder_household_id IS NULL
        AND EXISTS (SELECT FROM share_out s WHERE s.cooperative_id = p_cooperative AND s.round_id = b.round_id AND s.state = 'confirmed')
        AND EXISTS (SELECT FROM waiting w WHERE w.cooperative_id = p_cooperative AND w.recipe_id = v.recipe_id AND w.state = 'waiting')
        AND NOT EXISTS (SELECT FROM waiting w WHERE w.cooperative_id = p_cooperative AND w.container_id = c.id AND w.state = 'kept')
        AND (SELECT y.status IS NULL FROM why_no_claims(p_cooperative, b.round_id, true, p_now) y)
      ORDER BY c.best_before, b.lot_code, c.number
  LOOP
    SELECT w.id INTO first_id FROM waiting w
      WHERE w.cooperative_id = p_cooperative AND w.recipe_id = box.recipe_id AND w.state = 'waiting'
        AND EXISTS (SELECT FROM participant_in_force(p_cooperative, box.round_id, w.household_id, today) p
          WHERE split_part(p.weight, '/', 1) ~ '[1-9]')
        AND excluded_subjects(p_cooperative, box.id, w.household_id, today) = '{}'
        AND coalesce((SELECT a.balance FROM account a
            WHERE a.cooperative_id = p_cooperative AND a.book = 'portions' AND a.household_id = w.household_id), 0)
          - 1000000::bigint * (box.portions + coalesce((SELECT sum(c.portions) FROM waiting k
              JOIN container c ON c.cooperative_id = k.cooperative_id AND c.id = k.container_id
              WHERE k.cooperative_id = p_cooperative AND k.household_id = w.household_id AND k.state = 'kept'), 0)) >= -policy.ahead_limit
      ORDER BY w.created_at, w.id LIMIT 1;
    CONTINUE WHEN NOT FOUND;
    UPDATE waiting w SET state = 'kept', container_id = box.id, told_at = NULL,
        kept_until = p_now + make_interval(hours => policy.waiting_hours), version = w.version + 1
      WHERE w.cooperative_id = p_cooperative AND w.id = first_id;
    INSERT INTO outbox (cooperative_id, topic, subject_id) VALUES (p_cooperative, 'share-outs', box.round_id);
  END LOOP;
END $$;

-- As before, and by the policy: a claim before the share-out is a row of its own and moves nothing yet; what is kept for who waits is not
-- for others; a claim meets the wish of who waited for that dish.
CREATE OR REPLACE FUNCTION claim_container(p_cooperative uuid, p_person uuid, p_household uuid, p_container uuid, p_confirm_words text, p_key text,
  p_request_hash text, p_now timestamptz, p_ids uuid[], OUT status text, OUT answer jsonb) LANGUAGE plpgsql VOLATILE SECURITY INVOKER AS $$
DECLARE
  setting_before text := coalesce(current_setting('app.cooperative_id', true), '');
  what record;
  accounts record;
  other record;
  today date;
  ahead_limit bigint;
  subjects text[];
  due_for_it bigint;
  set_aside boolean;
  is_shared boolean;
  expected bigint;
BEGIN
  PERFORM set_config('app.cooperative_id', p_cooperative::text, true);
  <<work>>
  BEGIN
    status := may_act_for(p_cooperative, p_person, p_household);
    EXIT work WHEN status IS NOT NULL;
    SELECT b.status, b.answer INTO status, answer FROM answered_before(p_cooperative, p_person, p_key, p_request_hash) b;
    EXIT work WHEN status IS NOT NULL;
    SELECT c.portions, b.round_id, v.recipe_id, b.lot_code || '-' || c.number AS code, r.name AS dish, h.name AS household INTO what
      FROM container c
      JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
      JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
      JOIN recipe r ON r.cooperative_id = v.cooperative_id AND r.id = v.recipe_id
      JOIN household h ON h.cooperative_id = c.cooperative_id AND h.id = p_household
      WHERE c.cooperative_id = p_cooperative AND c.id = p_container;
    IF NOT FOUND THEN status := 'not-found'; EXIT work; END IF;

    SELECT (p_now AT TIME ZONE k.time_zone)::date, k.claim_ahead_portions * 1000000::bigint INTO today, ahead_limit
      FROM cooperative k WHERE k.id = p_cooperative;
    accounts := lock_portions(p_cooperative, p_household, p_ids[5], p_ids[6]);

    -- After the lock, since the confirmation of the share-out holds every account.
    is_shared := EXISTS (SELECT FROM share_out s WHERE s.cooperative_id = p_cooperative AND s.round_id = what.round_id AND s.state = 'confirmed');
    IF NOT EXISTS (SELECT FROM participant_in_force(p_cooperative, what.round_id, p_household, today) p
        WHERE split_part(p.weight, '/', 1) ~ '[1-9]') THEN
      status := 'participant-missing'; EXIT work;
    END IF;
    answer := holder_of(p_cooperative, p_container);
    IF answer ->> 'state' <> 'sealed' THEN status := 'container-not-free'; EXIT work; END IF;
    SELECT true INTO set_aside FROM claim cl
      WHERE cl.cooperative_id = p_cooperative AND cl.container_id = p_container AND cl.household_id = p_household AND cl.state = 'held'
      FOR UPDATE;
    IF set_aside IS NULL THEN
      IF answer ? 'holder' THEN status := 'container-taken'; EXIT work; END IF;
      -- Saying yes to what the share-out has set aside is open always; anything else as the policy says.
      SELECT y.status, y.answer INTO status, answer FROM why_no_claims(p_cooperative, what.round_id, is_shared, p_now) y;
      EXIT work WHEN status IS NOT NULL;
      SELECT h.id AS household_id, h.name, e.created_at INTO other FROM early_claim e
        JOIN household h ON h.cooperative_id = e.cooperative_id AND h.id = e.household_id
        WHERE e.cooperative_id = p_cooperative AND e.container_id = p_container;
      IF FOUND THEN
        status := 'container-taken';
        answer := jsonb_build_object('state', 'sealed', 'holderId', other.household_id, 'holder', other.name, 'at', iso_instant(other.created_at));
        EXIT work;
      END IF;
      SELECT h.id AS household_id, h.name, w.kept_until INTO other FROM waiting w
        JOIN household h ON h.cooperative_id = w.cooperative_id AND h.id = w.household_id
        WHERE w.cooperative_id = p_cooperative AND w.container_id = p_container AND w.state = 'kept' AND w.household_id <> p_household
          AND w.kept_until > p_now;
      IF FOUND THEN
        status := 'container-kept';
        answer := jsonb_build_object('holderId', other.household_id, 'holder', other.name, 'until', iso_instant(other.kept_until));
        EXIT work;
      END IF;
    END IF;

    subjects := excluded_subjects(p_cooperative, p_container, p_household, today);
    IF cardinality(subjects) > 0 AND (p_confirm_words IS NULL OR NOT is_shared) THEN
      status := 'excluded-food';
      answer := jsonb_build_object('subjects', array_to_string(subjects, ', '), 'dish', what.dish, 'final', CASE WHEN is_shared THEN 0 ELSE 1 END);
      EXIT work;
    END IF;

    due_for_it := what.portions * 1000000::bigint;
    IF set_aside THEN
      -- The share-out has put it aside and booked it; this only says yes.
      UPDATE claim cl SET state = 'claimed'
        WHERE cl.cooperative_id = p_cooperative AND cl.container_id = p_container AND cl.household_id = p_household AND cl.state = 'held';
    ELSIF NOT is_shared THEN
      SELECT accounts.balance + part_by_weight(p_cooperative, what.round_id, p_household, today) - coalesce(sum(c.portions), 0) * 1000000
        INTO expected FROM early_claim e
        JOIN container c ON c.cooperative_id = e.cooperative_id AND c.id = e.container_id
        JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
        WHERE e.cooperative_id = p_cooperative AND e.household_id = p_household AND b.round_id = what.round_id;
      IF expected - due_for_it < -ahead_limit THEN
        status := 'over-allowance';
        answer := jsonb_build_object('portions', what.portions, 'balanceMicro', expected::text, 'limitMicro', ahead_limit::text);
        EXIT work;
      END IF;
      INSERT INTO early_claim (cooperative_id, id, container_id, household_id, balance_after, ahead_limit, created_by)
        VALUES (p_cooperative, p_ids[1], p_container, p_household, expected - due_for_it, ahead_limit, p_person) ON CONFLICT DO NOTHING;
      IF NOT FOUND THEN
        SELECT jsonb_build_object('state', 'sealed', 'holderId', h.id, 'holder', h.name, 'at', iso_instant(e.created_at)) INTO answer FROM early_claim e
          JOIN household h ON h.cooperative_id = e.cooperative_id AND h.id = e.household_id
          WHERE e.cooperative_id = p_cooperative AND e.container_id = p_container;
        status := 'container-taken';
        EXIT work;
      END IF;
      accounts.balance := expected - due_for_it;
    ELSE
      IF accounts.balance - due_for_it < -ahead_limit THEN
        status := 'over-allowance';
        answer := jsonb_build_object('portions', what.portions, 'balanceMicro', accounts.balance::text, 'limitMicro', ahead_limit::text);
        EXIT work;
      END IF;
      UPDATE container c SET holder_household_id = p_household, version = c.version + 1
        WHERE c.cooperative_id = p_cooperative AND c.id = p_container AND c.state = 'sealed' AND c.holder_household_id IS NULL;
      IF NOT FOUND THEN
        answer := holder_of(p_cooperative, p_container);
        status := CASE WHEN answer ? 'holder' THEN 'container-taken' ELSE 'container-not-free' END;
        EXIT work;
      END IF;
      INSERT INTO claim (cooperative_id, id, container_id, household_id, state, balance_after, ahead_limit, created_by)
        VALUES (p_cooperative, p_ids[1], p_container, p_household, 'claimed', accounts.balance - due_for_it, ahead_limit, p_person);
      accounts.balance := accounts.balance - due_for_it;
      PERFORM book_portions(p_cooperative, p_person, 'claim', 'Claimed from the pool: ' || what.code,
        jsonb_build_object('code', what.code, 'dish', what.dish, 'portions', what.portions),
        p_container, what.round_id, today, accounts.own, accounts.common, -due_for_it, p_ids[2:4]);
      UPDATE waiting w SET state = 'met', ended_at = p_now, version = w.version + 1
        WHERE w.cooperative_id = p_cooperative AND w.household_id = p_household AND w.recipe_id = what.recipe_id AND w.ended_at IS NULL;
    END IF;
    IF cardinality(subjects) > 0 THEN
      INSERT INTO exclusion_confirmed (cooperative_id, id, container_id, household_id, subjects, words, created_by)
        VALUES (p_cooperative, p_ids[7], p_container, p_household, subjects, p_confirm_words, p_person);
    END IF;

    status := 'done';
    answer := jsonb_build_object(
      'container', jsonb_build_object('id', p_container, 'holder', jsonb_build_object('id', p_household, 'name', what.household),
        'claim', CASE WHEN is_shared THEN 'claimed' ELSE 'early' END),
      'balanceMicro', accounts.balance::text);
    INSERT INTO idempotency_key (cooperative_id, person_id, key, request_hash, answer)
      VALUES (p_cooperative, p_person, p_key, p_request_hash, answer);
    PERFORM tell_of_container(p_cooperative, what.round_id, p_container, set_aside IS NULL AND is_shared);
  END work;
  PERFORM set_config('app.cooperative_id', setting_before, true);
END $$;

-- Any free container of a dish of a round, the smallest first: one that somebody else is just taking is passed over instead of waited for.
-- The account is locked before the container, as everybody does.
CREATE FUNCTION claim_of_dish(p_cooperative uuid, p_person uuid, p_household uuid, p_round uuid, p_recipe uuid, p_key text,
  p_request_hash text, p_now timestamptz, p_ids uuid[], OUT status text, OUT answer jsonb) LANGUAGE plpgsql VOLATILE SECURITY INVOKER AS $$
DECLARE
  setting_before text := coalesce(current_setting('app.cooperative_id', true), '');
  chosen uuid;
BEGIN
  PERFORM set_config('app.cooperative_id', p_cooperative::text, true);
  <<work>>
  BEGIN
    status := may_act_for(p_cooperative, p_person, p_household);
    EXIT work WHEN status IS NOT NULL;
    SELECT b.status, b.answer INTO status, answer FROM answered_before(p_cooperative, p_person, p_key, p_request_hash) b;
    EXIT work WHEN status IS NOT NULL;
    PERFORM lock_portions(p_cooperative, p_household, p_ids[5], p_ids[6]);
    SELECT c.id INTO chosen FROM container c
      JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
      JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
      WHERE c.cooperative_id = p_cooperative AND b.round_id = p_round AND v.recipe_id = p_recipe
        AND c.state = 'sealed' AND c.holder_household_id IS NULL
        AND NOT EXISTS (SELECT FROM early_claim e WHERE e.cooperative_id = p_cooperative AND e.container_id = c.id)
        AND NOT EXISTS (SELECT FROM waiting w WHERE w.cooperative_id = p_cooperative AND w.container_id = c.id AND w.state = 'kept'
          AND w.kept_until > p_now AND w.household_id <> p_household)
      ORDER BY c.portions, b.lot_code, c.number LIMIT 1 FOR UPDATE OF c SKIP LOCKED;
    IF NOT FOUND THEN
      status := CASE WHEN EXISTS (SELECT FROM batch b JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
        WHERE b.cooperative_id = p_cooperative AND b.round_id = p_round AND v.recipe_id = p_recipe) THEN 'none-left' ELSE 'not-found' END;
      EXIT work;
    END IF;
    SELECT c.status, c.answer INTO status, answer
      FROM claim_container(p_cooperative, p_person, p_household, chosen, NULL, p_key, p_request_hash, p_now, p_ids) c;
  END work;
  PERFORM set_config('app.cooperative_id', setting_before, true);
END $$;

-- As before; what was claimed before the share-out is free again without an entry, and what comes into the pool is kept for who waits for it.
CREATE OR REPLACE FUNCTION release_container(p_cooperative uuid, p_person uuid, p_household uuid, p_container uuid, p_key text, p_request_hash text,
  p_now timestamptz, p_ids uuid[], OUT status text, OUT answer jsonb) LANGUAGE plpgsql VOLATILE SECURITY INVOKER AS $$
DECLARE
  setting_before text := coalesce(current_setting('app.cooperative_id', true), '');
  what record;
  accounts record;
  today date;
  given_back bigint;
  is_early boolean;
BEGIN
  PERFORM set_config('app.cooperative_id', p_cooperative::text, true);
  <<work>>
  BEGIN
    status := may_act_for(p_cooperative, p_person, p_household);
    EXIT work WHEN status IS NOT NULL;
    SELECT b.status, b.answer INTO status, answer FROM answered_before(p_cooperative, p_person, p_key, p_request_hash) b;
    EXIT work WHEN status IS NOT NULL;
    SELECT c.portions, b.round_id, b.lot_code || '-' || c.number AS code, r.name AS dish INTO what
      FROM container c
      JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
      JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
      JOIN recipe r ON r.cooperative_id = v.cooperative_id AND r.id = v.recipe_id
      WHERE c.cooperative_id = p_cooperative AND c.id = p_container;
    IF NOT FOUND THEN status := 'not-found'; EXIT work; END IF;

    SELECT (p_now AT TIME ZONE k.time_zone)::date INTO today FROM cooperative k WHERE k.id = p_cooperative;
    accounts := lock_portions(p_cooperative, p_household, p_ids[4], p_ids[5]);
    DELETE FROM early_claim e WHERE e.cooperative_id = p_cooperative AND e.container_id = p_container AND e.household_id = p_household;
    is_early := FOUND;
    IF is_early THEN
      given_back := 0;
    ELSE
      UPDATE container c SET holder_household_id = NULL, place = '', version = c.version + 1
        WHERE c.cooperative_id = p_cooperative AND c.id = p_container AND c.state = 'sealed' AND c.holder_household_id = p_household;
      IF NOT FOUND THEN
        answer := holder_of(p_cooperative, p_container);
        status := CASE WHEN answer ->> 'state' <> 'sealed' THEN 'container-not-free' WHEN answer ? 'holder' THEN 'container-taken' ELSE 'conflict' END;
        EXIT work;
      END IF;
      UPDATE claim cl SET state = 'released', ended_at = now()
        WHERE cl.cooperative_id = p_cooperative AND cl.container_id = p_container AND cl.household_id = p_household AND cl.ended_at IS NULL;
      given_back := what.portions * 1000000::bigint;
      PERFORM book_portions(p_cooperative, p_person, 'release', 'Given back to the pool: ' || what.code,
        jsonb_build_object('code', what.code, 'dish', what.dish, 'portions', what.portions),
        p_container, what.round_id, today, accounts.own, accounts.common, given_back, p_ids[1:3]);
    END IF;

    status := 'done';
    answer := jsonb_build_object('container', jsonb_build_object('id', p_container, 'holder', NULL, 'claim', NULL),
      'balanceMicro', (accounts.balance + given_back)::text);
    INSERT INTO idempotency_key (cooperative_id, person_id, key, request_hash, answer)
      VALUES (p_cooperative, p_person, p_key, p_request_hash, answer);
    PERFORM tell_of_container(p_cooperative, what.round_id, p_container, NOT is_early);
    IF NOT is_early THEN PERFORM settle_waiting(p_cooperative, p_now); END IF;
  END work;
  PERFORM set_config('app.cooperative_id', setting_before, true);
END $$;

-- What must always be true of claims, windows, the waiting list and corrections, beside what broken_invariant says.
CREATE VIEW broken_invariant_claims WITH (security_invoker = true) AS
  SELECT e.cooperative_id, 'early-claim-ends-with-share-out' AS rule, e.id AS subject FROM early_claim e
    JOIN container c ON c.cooperative_id = e.cooperative_id AND c.id = e.container_id
    JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
    WHERE c.holder_household_id IS NOT NULL
      OR EXISTS (SELECT FROM share_out s WHERE s.cooperative_id = e.cooperative_id AND s.round_id = b.round_id AND s.state = 'confirmed')
  UNION ALL
  SELECT e.cooperative_id, 'early-claimer-takes-part', e.id FROM early_claim e
    JOIN container c ON c.cooperative_id = e.cooperative_id AND c.id = e.container_id
    JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
    WHERE NOT EXISTS (SELECT FROM round_participant p
      WHERE p.cooperative_id = e.cooperative_id AND p.round_id = b.round_id AND p.household_id = e.household_id)
  UNION ALL
  SELECT w.cooperative_id, 'kept-is-of-its-dish', w.id FROM waiting w
    JOIN container c ON c.cooperative_id = w.cooperative_id AND c.id = w.container_id
    JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
    JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
    WHERE v.recipe_id <> w.recipe_id
  UNION ALL
  -- A correction moves what one household was booked for, by exactly its container's portions, and nothing else.
  SELECT k.cooperative_id, 'correction-in-books', k.id FROM share_out_correction k
    JOIN container c ON c.cooperative_id = k.cooperative_id AND c.id = k.container_id
    WHERE (SELECT coalesce(sum(p.amount), 0) FROM entry e
        JOIN posting p ON p.cooperative_id = e.cooperative_id AND p.entry_id = e.id
        JOIN account a ON a.cooperative_id = p.cooperative_id AND a.id = p.account_id
        WHERE e.cooperative_id = k.cooperative_id AND e.document_id = k.id AND a.household_id = k.from_household_id) <> c.portions * 1000000::bigint
      OR k.to_household_id IS NOT NULL AND (SELECT coalesce(sum(p.amount), 0) FROM entry e
        JOIN posting p ON p.cooperative_id = e.cooperative_id AND p.entry_id = e.id
        JOIN account a ON a.cooperative_id = p.cooperative_id AND a.id = p.account_id
        WHERE e.cooperative_id = k.cooperative_id AND e.document_id = k.id AND a.household_id = k.to_household_id) <> -c.portions * 1000000::bigint
  UNION ALL
  SELECT k.cooperative_id, 'broken-container-is-gone', k.id FROM share_out_correction k
    JOIN container c ON c.cooperative_id = k.cooperative_id AND c.id = k.container_id
    WHERE k.kind = 'broken' AND c.state = 'sealed';
GRANT SELECT ON broken_invariant_claims TO frostmoot_app;
