-- Where pieces lie. A piece lies at the place whose name its last move says, in any case;
-- a move to any other name is as good.
CREATE TABLE places (
    id         bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    name       text NOT NULL CONSTRAINT places_name_length CHECK (char_length(name) BETWEEN 1 AND 60),
    kind       text NOT NULL CONSTRAINT places_kind_known
               CHECK (kind IN ('rack', 'hook', 'shelf', 'booth', 'drying room', 'in the car', 'out at', 'other')),
    holds      integer NOT NULL DEFAULT 0 CONSTRAINT places_holds_known CHECK (holds BETWEEN 0 AND 1000), -- 0: no limit
    code       text NOT NULL CONSTRAINT places_code_form CHECK (code ~ '^P[346789ACDEFHJKMNPRTUWXY]{5}$'),
    created_at timestamptz NOT NULL,
    retired_at timestamptz,
    CONSTRAINT places_code_once UNIQUE (code)
);
CREATE UNIQUE INDEX places_name_once ON places (lower(name)) WHERE retired_at IS NULL;
CREATE INDEX components_by_place ON components (lower(lies_at)) WHERE lies_at <> '' AND removed_at IS NULL;

-- How a place holds a kind of piece: well is with every side within reach.
CREATE TABLE place_fits (
    place_id  bigint NOT NULL REFERENCES places (id),
    piece     text NOT NULL CONSTRAINT place_fits_piece_length CHECK (char_length(piece) BETWEEN 1 AND 60),
    body      text NOT NULL,
    well      boolean NOT NULL,
    person_id bigint REFERENCES people (id),
    at        timestamptz NOT NULL
);
CREATE UNIQUE INDEX place_fits_once ON place_fits (place_id, lower(piece), lower(body));

-- Every name in use becomes a place, with a code that ends in its check sign (the sum of
-- the signs' numbers, each weighed by its place from 2 up, modulo 23).
DO $$
DECLARE
    signs CONSTANT text := '346789ACDEFHJKMNPRTUWXY';
    found text;
    drawn text;
    total integer;
BEGIN
    FOR found IN
        SELECT min(p.lies_at) FROM components p JOIN cars c ON c.id = p.car_id
        WHERE p.removed_at IS NULL AND c.state <> 'delivered' AND char_length(p.lies_at) BETWEEN 1 AND 60
        GROUP BY lower(p.lies_at) ORDER BY 1
    LOOP
        LOOP
            drawn := 'P';
            FOR i IN 1..4 LOOP
                drawn := drawn || substr(signs, 1 + floor(random() * 23)::integer, 1);
            END LOOP;
            total := 0;
            FOR i IN 1..5 LOOP
                total := total + (i + 1) * (strpos(signs, substr(drawn, i, 1)) - 1);
            END LOOP;
            drawn := drawn || substr(signs, 1 + total % 23, 1);
            EXIT WHEN NOT EXISTS (SELECT FROM places WHERE code = drawn);
        END LOOP;
        INSERT INTO places (name, kind, code, created_at) VALUES (found, 'other', drawn, now());
    END LOOP;
    IF EXISTS (SELECT FROM pg_roles WHERE rolname = 'scumble_app') THEN
        EXECUTE 'GRANT SELECT, INSERT, UPDATE, DELETE ON places, place_fits TO scumble_app';
        EXECUTE format('GRANT USAGE ON ALL SEQUENCES IN SCHEMA %I TO scumble_app', current_schema());
    END IF;
END $$;
