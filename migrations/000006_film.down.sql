DROP INDEX shop_events_defects, finish_steps_coated;
ALTER TABLE finish_steps DROP CONSTRAINT finish_steps_waits_of_a_coat, DROP COLUMN coat_waits, DROP COLUMN coated_at;
DROP TABLE certificates, air, sensors, films, readings, cut_passes, coat_lots, coats, schemes, lots, materials;
