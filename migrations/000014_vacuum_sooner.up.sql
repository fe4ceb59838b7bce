-- The hours of the shop are summed from an index alone, where Postgres knows that a page
-- changed by nobody lately. It learns that by a vacuum, which by itself comes when a fifth of
-- a table is stale: until then the roll-up takes twice as long.
ALTER TABLE finish_steps SET (autovacuum_vacuum_scale_factor = 0.02);
ALTER TABLE components SET (autovacuum_vacuum_scale_factor = 0.02);
