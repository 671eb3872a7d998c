-- Who asks, and their place in the cooperative that they ask about: needed by every request, so one round trip. The one place that says whether a session
-- still holds. Row-level security shows a person their own places; the setting for it is put back at the end, or it would leak into a transaction that calls.
CREATE FUNCTION identify(p_token bytea, p_cooperative uuid)
RETURNS TABLE (person_id uuid, email text, display_name text, seen_long_ago boolean, household_id uuid, roles text[])
LANGUAGE plpgsql VOLATILE AS $$
DECLARE before CONSTANT text := coalesce(current_setting('app.person_id', true), '');
BEGIN
  SELECT p.id, p.email, p.display_name, s.last_seen_at < now() - interval '1 hour'
    INTO person_id, email, display_name, seen_long_ago
    FROM session s JOIN person p ON p.id = s.person_id
    WHERE s.token_hash = p_token AND s.expires_at > now() AND s.last_seen_at > now() - interval '14 days';
  IF NOT FOUND THEN RETURN; END IF;
  IF p_cooperative IS NOT NULL THEN
    PERFORM set_config('app.person_id', person_id::text, true);
    SELECT m.household_id, m.roles INTO household_id, roles
      FROM membership m WHERE m.cooperative_id = p_cooperative AND m.person_id = identify.person_id;
    PERFORM set_config('app.person_id', before, true);
  END IF;
  RETURN NEXT;
END $$;
GRANT EXECUTE ON FUNCTION identify(bytea, uuid) TO frostmoot_app;
