-- How often things were put away at each place is asked by every tablet, time and again.
CREATE INDEX shop_events_moves ON shop_events (at) WHERE kind = 'move' AND outcome = 'applied';
