-- What the page of batches asked of coats, passes and steps one by one is kept with the
-- rest of a piece's film: of the step that comes next, when it was coated last and what
-- that coat asks for; when the clear was sprayed that stayed; and the grade of the last pass.
ALTER TABLE films
    ADD COLUMN coated_at      timestamptz,
    ADD COLUMN max_recoat_min integer NOT NULL DEFAULT 0 CONSTRAINT films_recoat_not_negative CHECK (max_recoat_min >= 0),
    ADD COLUMN sand_min       integer NOT NULL DEFAULT 0 CONSTRAINT films_sand_not_negative CHECK (sand_min >= 0),
    ADD COLUMN kept_at        timestamptz,
    ADD COLUMN grade          text NOT NULL DEFAULT '';

UPDATE films f SET
    grade = coalesce((SELECT c.grade FROM cut_passes c WHERE c.component_id = f.component_id ORDER BY c.at DESC, c.event_id DESC LIMIT 1), ''),
    kept_at = CASE WHEN f.before_um > 0 THEN (
        SELECT max(c.at) FROM coats c WHERE c.component_id = f.component_id AND c.layer = 'clear' AND c.step_id IS DISTINCT FROM p.next_step) END
FROM components p WHERE p.id = f.component_id;

UPDATE films f SET coated_at = s.coated_at,
    max_recoat_min = coalesce((s.coat_waits ->> 'max_recoat_min')::integer, 0), sand_min = coalesce((s.coat_waits ->> 'sand_min')::integer, 0)
FROM components p JOIN finish_steps s ON s.id = p.next_step
WHERE p.id = f.component_id AND s.coat_waits IS NOT NULL;
