-- The house: settings, people, tablets, sessions and the audit of what people changed.
-- They come first because cars and the ledger name people and tablets.

CREATE TABLE settings (
    only_row boolean PRIMARY KEY DEFAULT true CONSTRAINT settings_one_row CHECK (only_row),
    document jsonb NOT NULL,
    changed_at timestamptz NOT NULL
);

CREATE TABLE people (
    id            bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    name          text NOT NULL CONSTRAINT people_name_length CHECK (char_length(name) BETWEEN 1 AND 60),
    role          text NOT NULL CONSTRAINT people_role_known CHECK (role IN ('owner', 'technician')),
    password_hash text,
    pin_hash      text,
    misses        integer NOT NULL DEFAULT 0 CONSTRAINT people_misses_not_negative CHECK (misses >= 0),
    locked_at     timestamptz,
    left_at       timestamptz,
    last_seen     timestamptz,
    created_at    timestamptz NOT NULL,
    CONSTRAINT people_owner_has_password CHECK (role <> 'owner' OR password_hash IS NOT NULL)
);
-- Two people of one name can't both pick their tile; who has left frees the name.
CREATE UNIQUE INDEX people_name_once ON people (lower(name)) WHERE left_at IS NULL;

CREATE TABLE devices (
    id          bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    name        text NOT NULL CONSTRAINT devices_name_length CHECK (char_length(name) BETWEEN 1 AND 60),
    code_hash   bytea, -- of the enrolment code, until it is used
    code_until  timestamptz,
    token_hash  bytea, -- of the tablet's own token, once enrolled
    enrolled_at timestamptz,
    revoked_at  timestamptz,
    last_seen   timestamptz,
    created_at  timestamptz NOT NULL,
    CONSTRAINT devices_code_with_end CHECK ((code_hash IS NULL) = (code_until IS NULL)),
    CONSTRAINT devices_enrolled_with_token CHECK ((token_hash IS NULL) = (enrolled_at IS NULL))
);
CREATE UNIQUE INDEX devices_token_once ON devices (token_hash);
CREATE UNIQUE INDEX devices_code_once ON devices (code_hash);

-- The form that scs's pgxstore reads and writes.
CREATE TABLE sessions (
    token  text PRIMARY KEY,
    data   bytea NOT NULL,
    expiry timestamptz NOT NULL
);
CREATE INDEX sessions_expiry ON sessions (expiry);

CREATE TABLE audit (
    id        bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    at        timestamptz NOT NULL,
    person_id bigint REFERENCES people (id),
    device_id bigint REFERENCES devices (id),
    act       text NOT NULL, -- 'edit piece', 'revoke link'
    subject   text NOT NULL, -- what it was done to, as a person reads it
    car_id    bigint,
    piece_id  uuid,
    before    jsonb,
    after     jsonb
);
CREATE INDEX audit_by_time ON audit (at DESC, id DESC);
CREATE INDEX audit_by_piece ON audit (piece_id) WHERE piece_id IS NOT NULL;
