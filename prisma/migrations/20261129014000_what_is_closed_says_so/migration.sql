-- A household that has left gives nothing back to the pool: its balance of portions was bought out (ADR 62), and a release would open it again.
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
      -- After the lock, since leaving holds the account of who leaves: what it has was settled with its balance.
      IF EXISTS (SELECT FROM household h WHERE h.cooperative_id = p_cooperative AND h.id = p_household AND h.left_on <= today) THEN
        status := 'household-left';
        EXIT work;
      END IF;
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

-- A dish of which nothing is there yet, since the round is not shared out, is refused for that and not as if there were no such dish.
CREATE OR REPLACE FUNCTION claim_of_dish(p_cooperative uuid, p_person uuid, p_household uuid, p_round uuid, p_recipe uuid, p_portions integer,
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
      IF NOT EXISTS (SELECT FROM recipe r WHERE r.cooperative_id = p_cooperative AND r.id = p_recipe)
        OR NOT EXISTS (SELECT FROM round o WHERE o.cooperative_id = p_cooperative AND o.id = p_round) THEN status := 'not-found'; EXIT work; END IF;
      -- Where claims are not open, that is why nothing of it is free.
      SELECT y.status, y.answer INTO status, answer FROM why_no_claims(p_cooperative, p_round, EXISTS (SELECT FROM share_out s
        WHERE s.cooperative_id = p_cooperative AND s.round_id = p_round AND s.state = 'confirmed'), p_now) y;
      status := coalesce(status, 'none-left');
      EXIT work;
    END IF;
    SELECT c.status, c.answer INTO status, answer
      FROM claim_container(p_cooperative, p_person, p_household, chosen, p_confirm_words, p_key, p_request_hash, p_now, p_ids) c;
  END work;
  PERFORM set_config('app.cooperative_id', setting_before, true);
END $$;
