-- Claim and release, the two operations that many households do at the same minute: one function each, so that a call is one round trip and
-- one transaction. Both answer a status, which is `done` or a code of the domain, and beside it the answer or the numbers of the refusal.
-- Row-level security does not check the cooperative that a caller names, so each asks for the membership itself. The setting that
-- row-level security reads is put back at the end, or it would leak into the transaction that calls.

-- The row of a household in a round that is in force on a day; those of the round's start hold before it as well.
CREATE FUNCTION participant_in_force(p_cooperative uuid, p_round uuid, p_household uuid, p_today date) RETURNS SETOF round_participant
LANGUAGE sql STABLE AS $$
  SELECT p.* FROM round_participant p
    WHERE p.cooperative_id = p_cooperative AND p.round_id = p_round AND p.household_id = p_household
      AND (p.from_date <= p_today
        OR p.from_date = (SELECT min(f.from_date) FROM round_participant f WHERE f.cooperative_id = p_cooperative AND f.round_id = p_round))
    ORDER BY p.from_date DESC LIMIT 1
$$;

-- What somebody of the household must not eat and this container may contain: as the round counts it today, and as its diners are now.
CREATE FUNCTION excluded_subjects(p_cooperative uuid, p_container uuid, p_household uuid, p_today date) RETURNS text[] LANGUAGE sql STABLE AS $$
  SELECT coalesce(array_agg(x.subject ORDER BY x.subject), '{}') FROM (
    SELECT unnest(v.unfit_for) AS subject
      FROM container c
      JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
      JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
      WHERE c.cooperative_id = p_cooperative AND c.id = p_container
    INTERSECT (
      SELECT unnest(p.must_not)
        FROM container c
        JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
        CROSS JOIN LATERAL participant_in_force(p_cooperative, b.round_id, p_household, p_today) p
        WHERE c.cooperative_id = p_cooperative AND c.id = p_container
      UNION
      SELECT r.subject FROM diner d
        JOIN diner_restriction r ON r.cooperative_id = d.cooperative_id AND r.diner_id = d.id
        WHERE d.cooperative_id = p_cooperative AND d.household_id = p_household AND r.strength = 'hard')
  ) x
$$;

-- Null when the person may act for the household; otherwise the code to answer.
CREATE FUNCTION may_act_for(p_cooperative uuid, p_person uuid, p_household uuid) RETURNS text LANGUAGE plpgsql STABLE AS $$
DECLARE member membership;
BEGIN
  SELECT * INTO member FROM membership m WHERE m.cooperative_id = p_cooperative AND m.person_id = p_person;
  IF NOT FOUND THEN RETURN 'not-found'; END IF;
  IF NOT EXISTS (SELECT FROM household h WHERE h.cooperative_id = p_cooperative AND h.id = p_household) THEN RETURN 'not-found'; END IF;
  IF member.roles <@ ARRAY['reader'] THEN RETURN 'forbidden'; END IF;
  IF member.household_id <> p_household AND NOT 'coordinator' = ANY (member.roles) THEN RETURN 'forbidden'; END IF;
  RETURN NULL;
END $$;

-- Makes the household's and the common account of portions when they are missing and locks both, in id order as everybody does.
CREATE FUNCTION lock_portions(p_cooperative uuid, p_household uuid, p_new_own uuid, p_new_common uuid, OUT own uuid, OUT common uuid, OUT balance bigint)
LANGUAGE plpgsql AS $$
DECLARE a record;
BEGIN
  INSERT INTO account (cooperative_id, id, book, kind) VALUES (p_cooperative, p_new_common, 'portions', 'common') ON CONFLICT DO NOTHING;
  INSERT INTO account (cooperative_id, id, book, kind, household_id) VALUES (p_cooperative, p_new_own, 'portions', 'household', p_household)
    ON CONFLICT DO NOTHING;
  FOR a IN
    SELECT x.id, x.household_id, x.balance FROM account x
      WHERE x.cooperative_id = p_cooperative AND x.book = 'portions' AND (x.household_id = p_household OR x.kind = 'common')
      ORDER BY x.id FOR UPDATE
  LOOP
    IF a.household_id IS NULL THEN common := a.id; ELSE own := a.id; balance := a.balance; END IF;
  END LOOP;
END $$;

-- One entry between a household and the common account; p_ids: the entry and its two postings.
CREATE FUNCTION book_portions(p_cooperative uuid, p_person uuid, p_kind text, p_reason text, p_facts jsonb, p_container uuid, p_round uuid,
  p_today date, p_own uuid, p_common uuid, p_amount bigint, p_ids uuid[]) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
  INSERT INTO entry (cooperative_id, id, book, kind, reason, facts, document_id, round_id, occurred_on, created_by)
    VALUES (p_cooperative, p_ids[1], 'portions', p_kind, p_reason, p_facts, p_container, p_round, p_today, p_person);
  INSERT INTO posting (cooperative_id, id, entry_id, account_id, amount, facts)
    VALUES (p_cooperative, p_ids[2], p_ids[1], p_own, p_amount, '{}'), (p_cooperative, p_ids[3], p_ids[1], p_common, -p_amount, '{}');
  -- The balance is checked here and not at commit, when row-level security would hide the postings again.
  SET CONSTRAINTS entry_balances, posting_balances IMMEDIATE;
  SET CONSTRAINTS entry_balances, posting_balances DEFERRED;
END $$;

-- Who has a container and since when, for whoever came second; a statement of its own, or it would not see what the winner has just written.
CREATE FUNCTION holder_of(p_cooperative uuid, p_container uuid) RETURNS jsonb LANGUAGE sql VOLATILE AS $$
  SELECT jsonb_strip_nulls(jsonb_build_object('state', c.state, 'holderId', h.id, 'holder', h.name,
      'at', to_char(cl.created_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.MS"Z"')))
    FROM container c
    LEFT JOIN household h ON h.cooperative_id = c.cooperative_id AND h.id = c.holder_household_id
    LEFT JOIN claim cl ON cl.cooperative_id = c.cooperative_id AND cl.container_id = c.id AND cl.ended_at IS NULL
    WHERE c.cooperative_id = p_cooperative AND c.id = p_container
$$;

CREATE FUNCTION tell_of_container(p_cooperative uuid, p_round uuid, p_container uuid, p_books boolean) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
  INSERT INTO outbox (cooperative_id, topic, subject_id) VALUES (p_cooperative, 'share-outs', p_round), (p_cooperative, 'stock', p_container);
  IF p_books THEN INSERT INTO outbox (cooperative_id, topic) VALUES (p_cooperative, 'accounts'); END IF;
END $$;

-- What was answered to this key before: null when nothing was. The lock says whether the first request with the key is still running.
CREATE FUNCTION answered_before(p_cooperative uuid, p_person uuid, p_key text, p_request_hash text, OUT status text, OUT answer jsonb)
LANGUAGE plpgsql AS $$
DECLARE before idempotency_key;
BEGIN
  IF NOT pg_try_advisory_xact_lock(hashtextextended(p_cooperative || ' ' || p_person || ' ' || p_key, 0)) THEN
    status := 'idempotency-key-in-use'; RETURN;
  END IF;
  SELECT * INTO before FROM idempotency_key k WHERE k.cooperative_id = p_cooperative AND k.person_id = p_person AND k.key = p_key;
  IF NOT FOUND THEN RETURN; END IF;
  IF before.request_hash <> p_request_hash THEN status := 'idempotency-key-reused'; RETURN; END IF;
  status := 'done';
  answer := before.answer;
END $$;

-- p_ids: claim, entry, two postings, two accounts, exclusion_confirmed; made by the caller, used when needed.
CREATE FUNCTION claim_container(p_cooperative uuid, p_person uuid, p_household uuid, p_container uuid, p_confirm_words text, p_key text,
  p_request_hash text, p_now timestamptz, p_ids uuid[], OUT status text, OUT answer jsonb) LANGUAGE plpgsql VOLATILE SECURITY INVOKER AS $$
DECLARE
  setting_before text := coalesce(current_setting('app.cooperative_id', true), '');
  what record;
  accounts record;
  today date;
  ahead_limit bigint;
  subjects text[];
  due_for_it bigint;
  set_aside boolean;
BEGIN
  PERFORM set_config('app.cooperative_id', p_cooperative::text, true);
  <<work>>
  BEGIN
    status := may_act_for(p_cooperative, p_person, p_household);
    EXIT work WHEN status IS NOT NULL;
    SELECT b.status, b.answer INTO status, answer FROM answered_before(p_cooperative, p_person, p_key, p_request_hash) b;
    EXIT work WHEN status IS NOT NULL;
    SELECT c.portions, b.round_id, b.lot_code || '-' || c.number AS code, r.name AS dish, h.name AS household INTO what
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

    IF NOT EXISTS (SELECT FROM share_out s WHERE s.cooperative_id = p_cooperative AND s.round_id = what.round_id AND s.state = 'confirmed') THEN
      status := 'claims-closed'; EXIT work;
    END IF;
    IF NOT EXISTS (SELECT FROM participant_in_force(p_cooperative, what.round_id, p_household, today) p
        WHERE split_part(p.weight, '/', 1) ~ '[1-9]') THEN
      status := 'participant-missing'; EXIT work;
    END IF;
    answer := holder_of(p_cooperative, p_container);
    IF answer ->> 'state' <> 'sealed' THEN status := 'container-not-free'; EXIT work; END IF;
    SELECT true INTO set_aside FROM claim cl
      WHERE cl.cooperative_id = p_cooperative AND cl.container_id = p_container AND cl.household_id = p_household AND cl.state = 'held'
      FOR UPDATE;
    IF set_aside IS NULL AND answer ? 'holder' THEN status := 'container-taken'; EXIT work; END IF;

    subjects := excluded_subjects(p_cooperative, p_container, p_household, today);
    IF cardinality(subjects) > 0 AND p_confirm_words IS NULL THEN
      status := 'excluded-food';
      answer := jsonb_build_object('subjects', array_to_string(subjects, ', '), 'dish', what.dish);
      EXIT work;
    END IF;

    IF set_aside THEN
      -- The share-out has put it aside and booked it; this only says yes.
      UPDATE claim cl SET state = 'claimed'
        WHERE cl.cooperative_id = p_cooperative AND cl.container_id = p_container AND cl.household_id = p_household AND cl.state = 'held';
    ELSE
      due_for_it := what.portions * 1000000::bigint;
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
    END IF;
    IF cardinality(subjects) > 0 THEN
      INSERT INTO exclusion_confirmed (cooperative_id, id, container_id, household_id, subjects, words, created_by)
        VALUES (p_cooperative, p_ids[7], p_container, p_household, subjects, p_confirm_words, p_person);
    END IF;

    status := 'done';
    answer := jsonb_build_object(
      'container', jsonb_build_object('id', p_container, 'holder', jsonb_build_object('id', p_household, 'name', what.household), 'claim', 'claimed'),
      'balanceMicro', accounts.balance::text);
    INSERT INTO idempotency_key (cooperative_id, person_id, key, request_hash, answer)
      VALUES (p_cooperative, p_person, p_key, p_request_hash, answer);
    PERFORM tell_of_container(p_cooperative, what.round_id, p_container, set_aside IS NULL);
  END work;
  PERFORM set_config('app.cooperative_id', setting_before, true);
END $$;

-- Gives a container back to the pool. p_ids: entry, two postings, two accounts.
CREATE FUNCTION release_container(p_cooperative uuid, p_person uuid, p_household uuid, p_container uuid, p_key text, p_request_hash text,
  p_now timestamptz, p_ids uuid[], OUT status text, OUT answer jsonb) LANGUAGE plpgsql VOLATILE SECURITY INVOKER AS $$
DECLARE
  setting_before text := coalesce(current_setting('app.cooperative_id', true), '');
  what record;
  accounts record;
  today date;
  given_back bigint;
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

    status := 'done';
    answer := jsonb_build_object('container', jsonb_build_object('id', p_container, 'holder', NULL, 'claim', NULL),
      'balanceMicro', (accounts.balance + given_back)::text);
    INSERT INTO idempotency_key (cooperative_id, person_id, key, request_hash, answer)
      VALUES (p_cooperative, p_person, p_key, p_request_hash, answer);
    PERFORM tell_of_container(p_cooperative, what.round_id, p_container, true);
  END work;
  PERFORM set_config('app.cooperative_id', setting_before, true);
END $$;

-- The swaps of a household, and the live ones that a container is part of.
CREATE INDEX "swap_cooperative_id_from_household_id_idx" ON "swap"("cooperative_id", "from_household_id");
CREATE INDEX "swap_cooperative_id_to_household_id_idx" ON "swap"("cooperative_id", "to_household_id");
CREATE INDEX "swap_part_cooperative_id_container_id_idx" ON "swap_part"("cooperative_id", "container_id");
