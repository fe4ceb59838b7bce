DROP INDEX shop_events_hours, shop_events_stops, shop_events_clocks, shop_events_starts;
