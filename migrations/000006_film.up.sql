-- The finish itself: what is sprayed, sanded off and measured, the tins that it comes
-- from, the scheme that it must reach, and the air it was done in. coats, cut_passes
-- and readings are projections of the ledger: a row for every entry that stands.

CREATE TABLE materials (
    id         bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    name       text NOT NULL CONSTRAINT materials_name_length CHECK (char_length(name) BETWEEN 1 AND 60),
    layer      text NOT NULL CONSTRAINT materials_layer_known CHECK (layer IN ('primer', 'filler', 'ground', 'grain', 'clear')),
    example    boolean NOT NULL DEFAULT false, -- shipped to look at, not to spray by
    document   jsonb NOT NULL, -- the data sheet's figures
    created_at timestamptz NOT NULL,
    changed_at timestamptz NOT NULL,
    retired_at timestamptz
);
CREATE UNIQUE INDEX materials_name_once ON materials (lower(name)) WHERE retired_at IS NULL;

CREATE TABLE lots (
    id          bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    material_id bigint NOT NULL REFERENCES materials (id),
    part        integer NOT NULL CONSTRAINT lots_part_not_negative CHECK (part >= 0), -- of the mix: 0 is the paint itself
    number      text NOT NULL CONSTRAINT lots_number_length CHECK (char_length(number) BETWEEN 1 AND 60),
    amount_ml   double precision NOT NULL CONSTRAINT lots_amount_above_nought CHECK (amount_ml > 0 AND amount_ml <= 1000000),
    opened_on   date,
    expires_on  date,
    note        text NOT NULL DEFAULT '' CONSTRAINT lots_note_length CHECK (char_length(note) <= 2000),
    created_at  timestamptz NOT NULL,
    closed_at   timestamptz, -- used up or thrown away
    CONSTRAINT lots_number_once UNIQUE (material_id, part, number)
);

CREATE TABLE schemes (
    id          bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    car_id      bigint NOT NULL REFERENCES cars (id),
    name        text NOT NULL CONSTRAINT schemes_name_length CHECK (char_length(name) <= 60), -- '' is the car's own
    clear_coats integer NOT NULL CONSTRAINT schemes_coats_not_negative CHECK (clear_coats BETWEEN 0 AND 200),
    build_um    double precision NOT NULL CONSTRAINT schemes_build_above_floor CHECK (build_um >= floor_um AND build_um <= 2000),
    floor_um    double precision NOT NULL CONSTRAINT schemes_floor_not_negative CHECK (floor_um >= 0),
    gloss       double precision CONSTRAINT schemes_gloss_known CHECK (gloss BETWEEN 0 AND 2000),
    gloss_angle integer CONSTRAINT schemes_gloss_angle_known CHECK (gloss_angle IN (20, 60, 85)),
    ground_l    double precision,
    ground_a    double precision,
    ground_b    double precision,
    materials   jsonb NOT NULL DEFAULT '{}', -- layer → material
    ground_lot  bigint REFERENCES lots (id),
    CONSTRAINT schemes_gloss_with_angle CHECK ((gloss IS NULL) = (gloss_angle IS NULL)),
    CONSTRAINT schemes_ground_whole CHECK (num_nulls(ground_l, ground_a, ground_b) IN (0, 3))
);
CREATE UNIQUE INDEX schemes_once ON schemes (car_id, lower(name));

CREATE TABLE coats (
    event_id     uuid PRIMARY KEY REFERENCES shop_events (id),
    component_id uuid NOT NULL REFERENCES components (id),
    car_id       bigint NOT NULL REFERENCES cars (id),
    step_id      uuid NOT NULL,
    stage        text NOT NULL,
    pass         integer NOT NULL CONSTRAINT coats_pass_from_one CHECK (pass >= 1),
    at           timestamptz NOT NULL,
    person_id    bigint REFERENCES people (id),
    batch        uuid, -- entries made at once share it
    layer        text NOT NULL CONSTRAINT coats_layer_known CHECK (layer IN ('primer', 'filler', 'ground', 'grain', 'clear')),
    number       integer NOT NULL CONSTRAINT coats_number_from_one CHECK (number >= 1),
    material_id  bigint REFERENCES materials (id),
    dry_low      double precision NOT NULL CONSTRAINT coats_film_not_negative CHECK (dry_low >= 0),
    dry_um       double precision NOT NULL,
    dry_high     double precision NOT NULL,
    ml           double precision NOT NULL DEFAULT 0 CONSTRAINT coats_ml_not_negative CHECK (ml >= 0),
    CONSTRAINT coats_film_in_order CHECK (dry_low <= dry_um AND dry_um <= dry_high)
);
CREATE INDEX coats_by_component ON coats (component_id, step_id);
CREATE INDEX coats_by_car ON coats (car_id);
CREATE INDEX coats_by_time ON coats (at);

-- Which tins went into a coat, and how much of each.
CREATE TABLE coat_lots (
    event_id uuid NOT NULL REFERENCES coats (event_id) ON DELETE CASCADE,
    lot_id   bigint NOT NULL REFERENCES lots (id),
    ml       double precision NOT NULL CONSTRAINT coat_lots_ml_not_negative CHECK (ml >= 0),
    PRIMARY KEY (event_id, lot_id)
);
CREATE INDEX coat_lots_by_lot ON coat_lots (lot_id);

CREATE TABLE cut_passes (
    event_id     uuid PRIMARY KEY REFERENCES shop_events (id),
    component_id uuid NOT NULL REFERENCES components (id),
    car_id       bigint NOT NULL REFERENCES cars (id),
    step_id      uuid NOT NULL,
    stage        text NOT NULL,
    pass         integer NOT NULL CONSTRAINT cut_passes_pass_from_one CHECK (pass >= 1),
    at           timestamptz NOT NULL,
    person_id    bigint REFERENCES people (id),
    batch        uuid,
    layer        text NOT NULL CONSTRAINT cut_passes_layer_known CHECK (layer IN ('primer', 'filler', 'ground', 'grain', 'clear')),
    grade        text NOT NULL CONSTRAINT cut_passes_grade_length CHECK (char_length(grade) BETWEEN 1 AND 20),
    off_low      double precision NOT NULL CONSTRAINT cut_passes_off_not_negative CHECK (off_low >= 0),
    off_um       double precision NOT NULL,
    off_high     double precision NOT NULL,
    CONSTRAINT cut_passes_off_in_order CHECK (off_low <= off_um AND off_um <= off_high)
);
CREATE INDEX cut_passes_by_component ON cut_passes (component_id);
CREATE INDEX cut_passes_by_car ON cut_passes (car_id);

CREATE TABLE readings (
    event_id     uuid PRIMARY KEY REFERENCES shop_events (id),
    component_id uuid NOT NULL REFERENCES components (id),
    car_id       bigint NOT NULL REFERENCES cars (id),
    pass         integer NOT NULL CONSTRAINT readings_pass_from_one CHECK (pass >= 1), -- the piece's last when it was read
    at           timestamptz NOT NULL,
    person_id    bigint REFERENCES people (id),
    batch        uuid,
    kind         text NOT NULL CONSTRAINT readings_kind_known CHECK (kind IN ('film', 'gloss', 'colour')),
    spot         text NOT NULL DEFAULT '' CONSTRAINT readings_spot_length CHECK (char_length(spot) <= 60),
    baseline     boolean NOT NULL DEFAULT false, -- film before the first clear coat
    film_um      double precision[], -- the single readings of the spot
    gloss        double precision CONSTRAINT readings_gloss_known CHECK (gloss BETWEEN 0 AND 2000),
    gloss_angle  integer CONSTRAINT readings_gloss_angle_known CHECK (gloss_angle IN (20, 60, 85)),
    l            double precision,
    a            double precision,
    b            double precision,
    under_clear  boolean NOT NULL DEFAULT false, -- colour of the ground as it looks under clear
    CONSTRAINT readings_say_something CHECK (
        kind = 'film' AND film_um IS NOT NULL AND cardinality(film_um) > 0
        OR kind = 'gloss' AND gloss IS NOT NULL AND gloss_angle IS NOT NULL
        OR kind = 'colour' AND num_nulls(l, a, b) = 0)
);
CREATE INDEX readings_by_component ON readings (component_id);
CREATE INDEX readings_by_car ON readings (car_id);

-- What the rows above come to on each piece, so that the whole shop's film is read
-- without them: the clear that was put on, what is left of it and what was cut away.
CREATE TABLE films (
    component_id uuid PRIMARY KEY REFERENCES components (id),
    on_low       double precision NOT NULL,
    on_um        double precision NOT NULL,
    on_high      double precision NOT NULL,
    left_low     double precision NOT NULL,
    left_um      double precision NOT NULL,
    left_high    double precision NOT NULL,
    cut_low      double precision NOT NULL,
    cut_um       double precision NOT NULL,
    cut_high     double precision NOT NULL,
    by_gauge     boolean NOT NULL, -- what is left comes from the worst measured spot
    step_coats   integer NOT NULL DEFAULT 0 CONSTRAINT films_coats_not_negative CHECK (step_coats >= 0), -- on the step that comes next
    session_um   double precision NOT NULL DEFAULT 0 CONSTRAINT films_session_not_negative CHECK (session_um >= 0),
    before_um    double precision NOT NULL DEFAULT 0 CONSTRAINT films_before_not_negative CHECK (before_um >= 0), -- stayed from earlier passes
    sanded_at    timestamptz,
    CONSTRAINT films_on_in_order CHECK (0 <= on_low AND on_low <= on_um AND on_um <= on_high),
    CONSTRAINT films_left_in_order CHECK (0 <= left_low AND left_low <= left_um AND left_um <= left_high),
    CONSTRAINT films_cut_in_order CHECK (0 <= cut_low AND cut_low <= cut_um AND cut_um <= cut_high)
);

-- A sensor in the shop that sends the air by itself.
CREATE TABLE sensors (
    id         bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    name       text NOT NULL CONSTRAINT sensors_name_length CHECK (char_length(name) BETWEEN 1 AND 60),
    token_hash bytea NOT NULL CONSTRAINT sensors_hash_is_sha256 CHECK (octet_length(token_hash) = 32),
    created_at timestamptz NOT NULL,
    revoked_at timestamptz,
    last_seen  timestamptz,
    CONSTRAINT sensors_token_once UNIQUE (token_hash)
);

CREATE TABLE air (
    id        bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    sensor_id bigint NOT NULL REFERENCES sensors (id),
    at        timestamptz NOT NULL,
    air_c     double precision NOT NULL CONSTRAINT air_temperature_of_a_shop CHECK (air_c BETWEEN -40 AND 60),
    humidity  double precision NOT NULL CONSTRAINT air_humidity_in_percent CHECK (humidity > 0 AND humidity <= 100),
    surface_c double precision CONSTRAINT air_surface_of_a_shop CHECK (surface_c BETWEEN -40 AND 100),
    CONSTRAINT air_once UNIQUE (sensor_id, at)
);
CREATE INDEX air_by_time ON air (at);

-- Training and fit tests that come due again.
CREATE TABLE certificates (
    id          bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    person_id   bigint NOT NULL REFERENCES people (id),
    kind        text NOT NULL CONSTRAINT certificates_kind_length CHECK (char_length(kind) BETWEEN 1 AND 60),
    done_on     date NOT NULL,
    valid_until date CONSTRAINT certificates_end_after_start CHECK (valid_until >= done_on),
    note        text NOT NULL DEFAULT '' CONSTRAINT certificates_note_length CHECK (char_length(note) <= 2000),
    removed_at  timestamptz
);
CREATE INDEX certificates_by_person ON certificates (person_id);

-- What a coat that was really sprayed asks for takes the place of the route's waits.
ALTER TABLE finish_steps
    ADD COLUMN coated_at timestamptz,
    ADD COLUMN coat_waits jsonb,
    ADD CONSTRAINT finish_steps_waits_of_a_coat CHECK (coat_waits IS NULL OR coated_at IS NOT NULL); -- none are known of a paint that is on no list
CREATE INDEX finish_steps_coated ON finish_steps (component_id) WHERE coated_at IS NOT NULL AND state IN ('open', 'in hand');

CREATE INDEX shop_events_defects ON shop_events (at) WHERE kind = 'send back';

DO $$
BEGIN
    IF EXISTS (SELECT FROM pg_roles WHERE rolname = 'scumble_app') THEN
        EXECUTE 'GRANT SELECT, INSERT, UPDATE, DELETE ON materials, lots, schemes, coats, coat_lots, cut_passes, readings, films, sensors, air, certificates TO scumble_app';
        EXECUTE format('GRANT USAGE ON ALL SEQUENCES IN SCHEMA %I TO scumble_app', current_schema());
    END IF;
END $$;
