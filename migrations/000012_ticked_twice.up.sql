-- Steps that two people ticked are few; the shop's page asks for them every time.
CREATE INDEX shop_events_ticked_twice ON shop_events (at) WHERE kind = 'tick' AND outcome = 'already';
