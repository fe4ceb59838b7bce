-- Photos of pieces. A picture is kept once, under the hash of what is on it, whatever
-- number of entries show it. piece_photos is a projection of the ledger: a row for every
-- photo entry that was applied. What the owner says of it (customer_sees, removed_at)
-- stands beside and is audited.

CREATE TABLE photos (
    id           bytea PRIMARY KEY,
    large        bytea NOT NULL, -- JPEG without metadata
    small        bytea NOT NULL, -- the same for lists
    width        integer NOT NULL,
    height       integer NOT NULL,
    small_width  integer NOT NULL,
    small_height integer NOT NULL,
    created_at   timestamptz NOT NULL,
    CONSTRAINT photos_id_is_hash CHECK (id = sha256(large)),
    CONSTRAINT photos_size_known CHECK (width BETWEEN 1 AND 2048 AND height BETWEEN 1 AND 2048),
    CONSTRAINT photos_small_size_known CHECK (small_width BETWEEN 1 AND 480 AND small_height BETWEEN 1 AND 480)
);
-- A JPEG doesn't get smaller by compression: spare the trying.
ALTER TABLE photos ALTER COLUMN large SET STORAGE EXTERNAL, ALTER COLUMN small SET STORAGE EXTERNAL;

CREATE TABLE piece_photos (
    event_id      uuid PRIMARY KEY REFERENCES shop_events (id),
    photo_id      bytea NOT NULL CONSTRAINT piece_photos_have_picture REFERENCES photos (id),
    component_id  uuid NOT NULL REFERENCES components (id),
    car_id        bigint NOT NULL REFERENCES cars (id),
    step_id       uuid,
    stage         text NOT NULL, -- '' before the first
    pass          integer NOT NULL CONSTRAINT piece_photos_pass_not_negative CHECK (pass >= 0),
    at            timestamptz NOT NULL,
    person_id     bigint REFERENCES people (id),
    note          text NOT NULL,
    customer_sees boolean NOT NULL DEFAULT false,
    removed_at    timestamptz,
    CONSTRAINT piece_photos_removed_is_not_seen CHECK (removed_at IS NULL OR NOT customer_sees)
);
CREATE INDEX piece_photos_by_component ON piece_photos (component_id);
CREATE INDEX piece_photos_by_car ON piece_photos (car_id);
CREATE INDEX piece_photos_by_photo ON piece_photos (photo_id);

DO $$
BEGIN
    IF EXISTS (SELECT FROM pg_roles WHERE rolname = 'scumble_app') THEN
        EXECUTE 'GRANT SELECT, INSERT, UPDATE, DELETE ON photos, piece_photos TO scumble_app';
    END IF;
END $$;
