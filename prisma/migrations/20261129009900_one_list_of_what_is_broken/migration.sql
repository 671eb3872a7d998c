-- Each area says in a view of its own what must always be true of it; this one list reads them all, for the doctor, the backups and the tests.
ALTER VIEW broken_invariant RENAME TO broken_invariant_books;

CREATE VIEW broken_invariant WITH (security_invoker = true) AS
  SELECT cooperative_id, rule, subject FROM broken_invariant_books
  UNION ALL SELECT cooperative_id, rule, subject FROM broken_invariant_buying
  UNION ALL SELECT cooperative_id, rule, subject FROM broken_invariant_rota
  UNION ALL SELECT cooperative_id, rule, subject FROM broken_invariant_claims
  UNION ALL SELECT cooperative_id, rule, subject FROM broken_invariant_swaps
  UNION ALL SELECT cooperative_id, rule, subject FROM broken_invariant_recall
  UNION ALL SELECT cooperative_id, rule, subject FROM broken_invariant_stock;
GRANT SELECT ON broken_invariant TO frostmoot_app;
