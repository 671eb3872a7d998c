-- A source goes into a few batches, not into the thousand rows that the planner takes for granted of a function; so that the containers of those batches
-- are read by their index and not the whole table. With a setting of its own the function is not folded into the statement, which would lose the estimate.
ALTER FUNCTION traced_batches(uuid, text, uuid) ROWS 20;
ALTER FUNCTION traced_batches(uuid, text, uuid) SET search_path = pg_catalog, public;
