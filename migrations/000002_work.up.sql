-- The work: routes, cars, their pieces, and the projection of the ledger on them.
-- Sums and gates are kept beside the rows that they belong to, so that the whole
-- shop rolls up in one query without asking each step again.

CREATE TABLE routes (
    id         bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    key        text NOT NULL CONSTRAINT routes_key_form CHECK (key ~ '^[a-z0-9][a-z0-9-]{0,59}$'),
    version    integer NOT NULL CONSTRAINT routes_version_from_one CHECK (version >= 1),
    name       text NOT NULL CONSTRAINT routes_name_length CHECK (char_length(name) BETWEEN 1 AND 60),
    place      integer NOT NULL, -- order in the shop's list
    current    boolean NOT NULL, -- the version that new pieces start with
    retired_at timestamptz,
    created_at timestamptz NOT NULL,
    CONSTRAINT routes_version_once UNIQUE (key, version)
);
CREATE UNIQUE INDEX routes_one_current ON routes (key) WHERE current;

CREATE TABLE route_stages (
    route_id bigint NOT NULL REFERENCES routes (id) ON DELETE CASCADE,
    position integer NOT NULL CONSTRAINT route_stages_position_not_negative CHECK (position >= 0),
    key      text NOT NULL CONSTRAINT route_stages_key_length CHECK (char_length(key) BETWEEN 1 AND 60),
    name     text NOT NULL CONSTRAINT route_stages_name_length CHECK (char_length(name) BETWEEN 1 AND 60),
    document jsonb NOT NULL, -- the stage whole: hours, waits, checks, cautions
    PRIMARY KEY (route_id, position),
    CONSTRAINT route_stages_key_once UNIQUE (route_id, key)
);

CREATE TABLE cars (
    id           bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    work_order   text NOT NULL CONSTRAINT cars_work_order_form CHECK (work_order ~ '^[0-9]{2}-[0-9]{3,5}$'),
    name         text NOT NULL CONSTRAINT cars_name_length CHECK (char_length(name) BETWEEN 1 AND 60),
    body         text NOT NULL DEFAULT '',
    customer     text NOT NULL DEFAULT '',
    contact      text NOT NULL DEFAULT '',
    state        text NOT NULL CONSTRAINT cars_state_known CHECK (state IN ('survey', 'in work', 'on hold', 'delivered')),
    hold_reason  text NOT NULL DEFAULT '',
    held_since   timestamptz,
    quality      text NOT NULL CONSTRAINT cars_quality_known CHECK (quality IN ('driver', 'show', 'concours')),
    rate_cents   bigint NOT NULL DEFAULT 0 CONSTRAINT cars_rate_not_negative CHECK (rate_cents >= 0),
    arrived_on   date,
    promised_on  date,
    expect_from  date,
    expect_to    date,
    delivered_at timestamptz,
    ground       text NOT NULL CONSTRAINT cars_ground_colour CHECK (ground ~ '^#[0-9a-f]{6}$'),
    grain        text NOT NULL CONSTRAINT cars_grain_colour CHECK (grain ~ '^#[0-9a-f]{6}$'),
    scheme       text NOT NULL DEFAULT '',
    words        text NOT NULL DEFAULT '',
    note         text NOT NULL DEFAULT '',
    created_at   timestamptz NOT NULL,
    CONSTRAINT cars_work_order_once UNIQUE (work_order),
    CONSTRAINT cars_hold_has_since CHECK ((state = 'on hold') = (held_since IS NOT NULL)),
    CONSTRAINT cars_delivered_has_time CHECK ((state = 'delivered') = (delivered_at IS NOT NULL)),
    CONSTRAINT cars_expect_in_order CHECK (expect_from <= expect_to)
);

CREATE TABLE components (
    id            uuid PRIMARY KEY,
    car_id        bigint NOT NULL REFERENCES cars (id),
    route_id      bigint NOT NULL REFERENCES routes (id),
    label         text NOT NULL CONSTRAINT components_label_form CHECK (label ~ '^[0-9A-Z]{5}$'),
    name          text NOT NULL CONSTRAINT components_name_length CHECK (char_length(name) BETWEEN 1 AND 60),
    zone          text NOT NULL CONSTRAINT components_zone_known CHECK (zone IN ('front', 'left', 'right', 'rear', 'loose')),
    side          text NOT NULL DEFAULT '' CONSTRAINT components_side_known CHECK (side IN ('', 'left', 'right')),
    place         text NOT NULL DEFAULT '',
    sort_order    integer NOT NULL DEFAULT 0,
    area_m2       double precision NOT NULL CONSTRAINT components_area_not_negative CHECK (area_m2 >= 0),
    both_m2       double precision NOT NULL CONSTRAINT components_both_areas CHECK (both_m2 >= area_m2),
    size          text NOT NULL CONSTRAINT components_size_known CHECK (size IN ('small', 'medium', 'large')),
    mounting      text NOT NULL CONSTRAINT components_mounting_known CHECK (mounting IN ('bench', 'fixed')),
    metal         text NOT NULL DEFAULT 'steel' CONSTRAINT components_metal_known CHECK (metal IN ('steel', 'zinc', 'aluminium', 'other')),
    set_name      text NOT NULL DEFAULT '',
    scheme        text NOT NULL DEFAULT '',
    scheme_reason text NOT NULL DEFAULT '',
    grade         integer NOT NULL DEFAULT 0 CONSTRAINT components_grade_known CHECK (grade BETWEEN 0 AND 6),
    steel_grade   integer NOT NULL DEFAULT 0 CONSTRAINT components_steel_grade_known CHECK (steel_grade BETWEEN 0 AND 6),
    faults        jsonb NOT NULL DEFAULT '[]',
    note          text NOT NULL DEFAULT '' CONSTRAINT components_note_length CHECK (char_length(note) <= 2000),
    created_at    timestamptz NOT NULL,
    -- projection of the ledger
    lies_at       text NOT NULL DEFAULT '',
    hold_reason   text NOT NULL DEFAULT '',
    held_since    timestamptz,
    held_by       bigint REFERENCES people (id),
    removed_at    timestamptz,
    left_min      integer NOT NULL DEFAULT 0 CONSTRAINT components_left_not_negative CHECK (left_min >= 0),
    look          text NOT NULL DEFAULT 'bare',
    reached       text NOT NULL DEFAULT '',
    next_stage    text NOT NULL DEFAULT '',
    next_step     uuid,
    gate_from     timestamptz,
    late_from     timestamptz,
    sent_back     boolean NOT NULL DEFAULT false,
    CONSTRAINT components_label_once UNIQUE (label),
    CONSTRAINT components_of_car UNIQUE (id, car_id), -- lets a step name both
    CONSTRAINT components_hold_has_reason CHECK ((held_since IS NULL) = (hold_reason = '')),
    CONSTRAINT components_removed_has_nothing_left CHECK (removed_at IS NULL OR left_min = 0)
);
CREATE INDEX components_by_car ON components (car_id);
CREATE INDEX components_by_route ON components (route_id);
CREATE INDEX components_held ON components (held_since) WHERE held_since IS NOT NULL;

CREATE TABLE finish_steps (
    id            uuid PRIMARY KEY,
    component_id  uuid NOT NULL,
    car_id        bigint NOT NULL,
    stage         text NOT NULL,
    position      integer NOT NULL CONSTRAINT finish_steps_position_not_negative CHECK (position >= 0),
    pass          integer NOT NULL CONSTRAINT finish_steps_pass_from_one CHECK (pass >= 1),
    rework        boolean NOT NULL,
    planned_low   integer NOT NULL CONSTRAINT finish_steps_low_not_negative CHECK (planned_low >= 0),
    planned_min   integer NOT NULL CONSTRAINT finish_steps_likely_from_low CHECK (planned_min >= planned_low),
    planned_high  integer NOT NULL CONSTRAINT finish_steps_high_from_likely CHECK (planned_high >= planned_min),
    overtyped     boolean NOT NULL DEFAULT false,
    logged_min    integer NOT NULL DEFAULT 0 CONSTRAINT finish_steps_logged_not_negative CHECK (logged_min >= 0),
    last_log      timestamptz,
    still_min     integer CONSTRAINT finish_steps_still_not_negative CHECK (still_min >= 0),
    still_at      timestamptz,
    state         text NOT NULL CONSTRAINT finish_steps_state_known
                  CHECK (state IN ('open', 'in hand', 'done', 'skipped', 'superseded')),
    hand_by       bigint REFERENCES people (id),
    hand_since    timestamptz,
    done_at       timestamptz,
    done_by       bigint REFERENCES people (id),
    touch_again   timestamptz,
    too_late      timestamptz,
    reason        text NOT NULL DEFAULT '',
    left_min      integer NOT NULL CONSTRAINT finish_steps_left_not_negative CHECK (left_min >= 0),
    counted_min   integer NOT NULL CONSTRAINT finish_steps_counted_not_negative CHECK (counted_min >= 0),
    earned_min    integer NOT NULL CONSTRAINT finish_steps_earned_within_counted CHECK (earned_min BETWEEN 0 AND counted_min),
    CONSTRAINT finish_steps_piece_of_car FOREIGN KEY (component_id, car_id) REFERENCES components (id, car_id),
    CONSTRAINT finish_steps_pass_once UNIQUE (component_id, position, pass),
    CONSTRAINT finish_steps_done_has_time CHECK (state <> 'done' OR done_at IS NOT NULL),
    CONSTRAINT finish_steps_settled_has_nothing_left CHECK (left_min = 0 OR state IN ('open', 'in hand')),
    CONSTRAINT finish_steps_skip_has_reason CHECK (state <> 'skipped' OR reason <> ''),
    CONSTRAINT finish_steps_rework_not_counted CHECK (pass = 1 OR counted_min = 0)
);
-- One pass of a stage is open at a time: all others are superseded.
CREATE UNIQUE INDEX finish_steps_one_open_pass ON finish_steps (component_id, position) WHERE state <> 'superseded';

-- The roll-up of the whole shop reads these columns of every step. From the index
-- alone that takes three fifths of the time that the table takes.
CREATE INDEX finish_steps_roll ON finish_steps (car_id, stage)
    INCLUDE (position, counted_min, earned_min, logged_min, left_min);
CREATE INDEX finish_steps_rework ON finish_steps (car_id) WHERE rework;

-- Steps of a piece go in order: none is done or in hand while an earlier one of the
-- current pass is still to do. Looked at when the transaction commits, because a
-- send-back changes several rows.
CREATE FUNCTION finish_steps_in_order() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF EXISTS (
        SELECT FROM finish_steps later JOIN finish_steps earlier
            ON earlier.component_id = later.component_id AND earlier.position < later.position
        WHERE later.component_id = NEW.component_id
          AND later.state IN ('in hand', 'done') AND earlier.state IN ('open', 'in hand')
    ) THEN
        RAISE EXCEPTION 'a later step of piece % has begun before an earlier one', NEW.component_id
            USING ERRCODE = 'check_violation', CONSTRAINT = 'finish_steps_in_order', TABLE = 'finish_steps';
    END IF;
    RETURN NULL;
END $$;
CREATE CONSTRAINT TRIGGER finish_steps_in_order AFTER INSERT OR UPDATE OF state ON finish_steps
    DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION finish_steps_in_order();

CREATE TABLE progress_links (
    id         bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    car_id     bigint NOT NULL REFERENCES cars (id),
    token_hash bytea NOT NULL CONSTRAINT progress_links_hash_is_sha256 CHECK (octet_length(token_hash) = 32),
    created_at timestamptz NOT NULL,
    created_by bigint REFERENCES people (id),
    expires_at timestamptz NOT NULL CONSTRAINT progress_links_expire_later CHECK (expires_at > created_at),
    revoked_at timestamptz,
    last_seen  timestamptz,
    views      integer NOT NULL DEFAULT 0,
    show_hours boolean NOT NULL DEFAULT false,
    show_name  boolean NOT NULL DEFAULT false,
    CONSTRAINT progress_links_token_once UNIQUE (token_hash)
);
CREATE INDEX progress_links_by_car ON progress_links (car_id);
