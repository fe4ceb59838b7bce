ALTER TABLE components RESET (autovacuum_vacuum_scale_factor);
ALTER TABLE finish_steps RESET (autovacuum_vacuum_scale_factor);
