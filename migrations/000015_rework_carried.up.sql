-- What a send-back carries over is rework where it was: such a step lost the mark when its
-- piece went back again before it was done.
UPDATE finish_steps n SET rework = true
FROM finish_steps k
WHERE NOT n.rework AND k.component_id = n.component_id AND k.stage = n.stage AND k.rework AND k.pass < n.pass
    AND NOT EXISTS (SELECT 1 FROM finish_steps m WHERE m.component_id = n.component_id AND m.stage = n.stage
        AND m.pass >= k.pass AND m.pass < n.pass AND m.done_at IS NOT NULL);
