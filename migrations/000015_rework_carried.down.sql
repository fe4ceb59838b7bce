-- An older program knows the mark too, and reads these steps as well.
SELECT 1;
