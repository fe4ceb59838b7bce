DROP INDEX components_by_place;
DROP TABLE place_fits, places;
