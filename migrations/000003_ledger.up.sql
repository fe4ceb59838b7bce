-- The ledger: every event as it was entered, with its outcome, for ever. What the
-- steps and pieces show is its projection. Append-only twice over: by trigger, and
-- by the rights of the role that the program works as.

CREATE TABLE shop_events (
    id           uuid PRIMARY KEY,
    seq          bigint GENERATED ALWAYS AS IDENTITY CONSTRAINT shop_events_seq_once UNIQUE,
    kind         text NOT NULL CONSTRAINT shop_events_kind_length CHECK (char_length(kind) BETWEEN 1 AND 30),
    car_id       bigint REFERENCES cars (id),
    component_id uuid REFERENCES components (id),
    step_id      uuid, -- as it was sent: a refused entry may name a step that never was
    person_id    bigint REFERENCES people (id),
    device_id    bigint REFERENCES devices (id),
    at           timestamptz NOT NULL,
    arrived      timestamptz NOT NULL,
    payload      jsonb NOT NULL,
    outcome      text NOT NULL CONSTRAINT shop_events_outcome_known CHECK (outcome IN ('applied', 'already', 'refused')),
    reason       text NOT NULL DEFAULT '',
    allowed_from timestamptz,
    CONSTRAINT shop_events_refusal_has_reason CHECK (outcome <> 'refused' OR reason <> '')
);
CREATE INDEX shop_events_by_car ON shop_events (car_id, seq);
CREATE INDEX shop_events_by_component ON shop_events (component_id, seq);
CREATE INDEX shop_events_refused ON shop_events (seq) WHERE outcome = 'refused';
CREATE INDEX shop_events_settled ON shop_events ((payload ->> 'ref')) WHERE kind = 'settle';

CREATE FUNCTION shop_events_append_only() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'the ledger is append-only: % is not allowed', TG_OP
        USING ERRCODE = 'integrity_constraint_violation', CONSTRAINT = 'shop_events_append_only', TABLE = 'shop_events';
END $$;
CREATE TRIGGER shop_events_append_only BEFORE UPDATE OR DELETE ON shop_events
    FOR EACH ROW EXECUTE FUNCTION shop_events_append_only();
CREATE TRIGGER shop_events_no_truncate BEFORE TRUNCATE ON shop_events
    FOR EACH STATEMENT EXECUTE FUNCTION shop_events_append_only();

-- The program works as scumble_app, which may add to the ledger but not change it.
-- A server whose owner may not create roles keeps the trigger alone.
DO $$
BEGIN
    BEGIN
        IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'scumble_app') THEN
            CREATE ROLE scumble_app NOLOGIN;
        END IF;
    EXCEPTION
        WHEN duplicate_object OR unique_violation THEN NULL; -- another database of this cluster was faster
    END;
    GRANT scumble_app TO CURRENT_USER;
EXCEPTION
    WHEN insufficient_privilege THEN RAISE NOTICE 'no right to create the role scumble_app: the ledger is guarded by its trigger alone';
END $$;
DO $$
BEGIN
    IF EXISTS (SELECT FROM pg_roles WHERE rolname = 'scumble_app') THEN
        EXECUTE format('GRANT USAGE ON SCHEMA %I TO scumble_app', current_schema());
        EXECUTE format('GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA %I TO scumble_app', current_schema());
        EXECUTE format('GRANT USAGE ON ALL SEQUENCES IN SCHEMA %I TO scumble_app', current_schema());
        REVOKE UPDATE, DELETE, TRUNCATE ON shop_events, audit FROM scumble_app;
    END IF;
END $$;
