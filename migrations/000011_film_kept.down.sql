ALTER TABLE films DROP COLUMN coated_at, DROP COLUMN max_recoat_min, DROP COLUMN sand_min, DROP COLUMN kept_at, DROP COLUMN grade;
