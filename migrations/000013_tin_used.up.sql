-- What coats have taken out of a tin is kept with it: summed anew, it cost the page of
-- batches the more the longer a tin was in use.
ALTER TABLE lots ADD COLUMN used_ml double precision NOT NULL DEFAULT 0 CONSTRAINT lots_used_not_negative CHECK (used_ml >= 0);

UPDATE lots l SET used_ml = u.ml
FROM (SELECT lot_id, sum(ml) AS ml FROM coat_lots GROUP BY lot_id) u WHERE u.lot_id = l.id;
