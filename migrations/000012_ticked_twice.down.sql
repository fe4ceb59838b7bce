DROP INDEX shop_events_ticked_twice;
