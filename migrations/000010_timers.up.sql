-- Timers and time sheets are worked out of the ledger. These find their entries without
-- reading it whole: a person's starts, what was entered of a step, what stops every clock
-- of a piece or a car, and the entries that log hours by the day.
CREATE INDEX shop_events_starts ON shop_events (person_id, at) WHERE kind = 'start';
CREATE INDEX shop_events_clocks ON shop_events (step_id)
    WHERE kind IN ('start', 'pause', 'tick', 'untick', 'skip', 'log time', 'correct time');
CREATE INDEX shop_events_stops ON shop_events (car_id, at)
    WHERE kind IN ('hold', 'send back', 'remove', 'car hold', 'car deliver');
CREATE INDEX shop_events_hours ON shop_events (at) WHERE kind IN ('tick', 'log time', 'pause') AND payload ? 'hours_min';
