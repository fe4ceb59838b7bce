DROP INDEX shop_events_moves;
