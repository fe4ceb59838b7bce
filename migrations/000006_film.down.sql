ALTER TABLE finish_steps DROP CONSTRAINT finish_steps_coat_has_waits, DROP COLUMN coat_waits, DROP COLUMN coated_at;
DROP TABLE certificates, air, sensors, readings, cut_passes, coat_lots, coats, schemes, lots, materials;
