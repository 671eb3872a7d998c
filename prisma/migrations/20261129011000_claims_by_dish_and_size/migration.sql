-- Claims by dish and size instead of container by container; nothing from the pool for who has left the cooperative; and early claims that
-- outlive a new count of their batch.

-- As before, and nobody who has left: neither a part by headcount, nor a place in the line for a dish.
CREATE OR REPLACE FUNCTION participant_in_force(p_cooperative uuid, p_round uuid, p_household uuid, p_today date) RETURNS SETOF round_participant
LANGUAGE sql STABLE AS $$
  SELECT p.* FROM round_participant p
    JOIN household h ON h.cooperative_id = p.cooperative_id AND h.id = p.household_id
    WHERE p.cooperative_id = p_cooperative AND p.round_id = p_round AND p.household_id = p_household
      AND (h.left_on IS NULL OR h.left_on > p_today)
      AND (p.from_date <= p_today
        OR p.from_date = (SELECT min(f.from_date) FROM round_participant f WHERE f.cooperative_id = p_cooperative AND f.round_id = p_round))
    ORDER BY p.from_date DESC LIMIT 1
$$;

-- As before; what is set aside is answered with yes also by who has left since, anything else is refused then.
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
    answer := holder_of(p_cooperative, p_container);
    IF answer ->> 'state' <> 'sealed' THEN status := 'container-not-free'; EXIT work; END IF;
    SELECT true INTO set_aside FROM claim cl
      WHERE cl.cooperative_id = p_cooperative AND cl.container_id = p_container AND cl.household_id = p_household AND cl.state = 'held'
      FOR UPDATE;
    IF set_aside IS NULL THEN
      -- After the lock, since leaving holds the account of who leaves.
      SELECT CASE
          WHEN EXISTS (SELECT FROM household h WHERE h.cooperative_id = p_cooperative AND h.id = p_household AND h.left_on <= today) THEN 'household-left'
          WHEN NOT EXISTS (SELECT FROM participant_in_force(p_cooperative, what.round_id, p_household, today) p
            WHERE split_part(p.weight, '/', 1) ~ '[1-9]') THEN 'participant-missing'
        END INTO status;
      IF status IS NOT NULL THEN answer := NULL; EXIT work; END IF;
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
      -- Held until the end, so that its batch is not counted anew meanwhile; gone when that has just happened.
      PERFORM FROM container c WHERE c.cooperative_id = p_cooperative AND c.id = p_container FOR KEY SHARE;
      IF NOT FOUND THEN status := 'not-found'; EXIT work; END IF;
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

-- Any free container of a dish of a round, of one size where one is named: first what is kept for the household, then the smallest. One that
-- somebody else is just taking is passed over instead of waited for. The account is locked before the container, as everybody does. The
-- function without a size stays for the version of the API before this one.
CREATE FUNCTION claim_of_dish(p_cooperative uuid, p_person uuid, p_household uuid, p_round uuid, p_recipe uuid, p_portions integer,
  p_confirm_words text, p_key text, p_request_hash text, p_now timestamptz, p_ids uuid[], OUT status text, OUT answer jsonb)
LANGUAGE plpgsql VOLATILE SECURITY INVOKER AS $$
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
        AND (p_portions IS NULL OR c.portions = p_portions)
        AND c.state = 'sealed' AND c.holder_household_id IS NULL
        AND NOT EXISTS (SELECT FROM early_claim e WHERE e.cooperative_id = p_cooperative AND e.container_id = c.id)
        AND NOT EXISTS (SELECT FROM waiting w WHERE w.cooperative_id = p_cooperative AND w.container_id = c.id AND w.state = 'kept'
          AND w.kept_until > p_now AND w.household_id <> p_household)
      ORDER BY EXISTS (SELECT FROM waiting w WHERE w.cooperative_id = p_cooperative AND w.container_id = c.id AND w.state = 'kept'
          AND w.household_id = p_household) DESC,
        c.portions, b.lot_code, c.number LIMIT 1 FOR UPDATE OF c SKIP LOCKED;
    IF NOT FOUND THEN
      status := CASE WHEN EXISTS (SELECT FROM batch b JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
        WHERE b.cooperative_id = p_cooperative AND b.round_id = p_round AND v.recipe_id = p_recipe) THEN 'none-left' ELSE 'not-found' END;
      EXIT work;
    END IF;
    SELECT c.status, c.answer INTO status, answer
      FROM claim_container(p_cooperative, p_person, p_household, chosen, p_confirm_words, p_key, p_request_hash, p_now, p_ids) c;
  END work;
  PERFORM set_config('app.cooperative_id', setting_before, true);
END $$;

-- Puts an early claim onto a container of the batch as it is counted now, in the order in which they were made; false where the household's part
-- of what is there by now does not reach for it. The rule of claim_container, without its lock: the round is held by who counts.
CREATE FUNCTION keep_early_claim(p_cooperative uuid, p_round uuid, p_container uuid, p_claim uuid, p_household uuid, p_by uuid, p_at timestamptz,
  p_today date) RETURNS boolean LANGUAGE plpgsql VOLATILE SECURITY INVOKER AS $$
DECLARE
  ahead_limit bigint;
  expected bigint;
BEGIN
  SELECT k.claim_ahead_portions * 1000000::bigint INTO ahead_limit FROM cooperative k WHERE k.id = p_cooperative;
  SELECT coalesce((SELECT a.balance FROM account a
      WHERE a.cooperative_id = p_cooperative AND a.book = 'portions' AND a.household_id = p_household), 0)
    + part_by_weight(p_cooperative, p_round, p_household, p_today)
    - 1000000::bigint * (SELECT c.portions FROM container c WHERE c.cooperative_id = p_cooperative AND c.id = p_container)
    - 1000000::bigint * coalesce((SELECT sum(c.portions) FROM early_claim e
        JOIN container c ON c.cooperative_id = e.cooperative_id AND c.id = e.container_id
        JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
        WHERE e.cooperative_id = p_cooperative AND e.household_id = p_household AND b.round_id = p_round), 0)
    INTO expected;
  IF expected < -ahead_limit THEN RETURN false; END IF;
  INSERT INTO early_claim (cooperative_id, id, container_id, household_id, balance_after, ahead_limit, created_by, created_at)
    VALUES (p_cooperative, p_claim, p_container, p_household, expected, ahead_limit, p_by, p_at);
  RETURN true;
END $$;
