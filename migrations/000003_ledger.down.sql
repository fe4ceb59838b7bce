DROP TABLE shop_events;
DROP FUNCTION shop_events_append_only;
-- The role belongs to the cluster and may serve other databases: only its rights here go.
DO $$
BEGIN
    IF EXISTS (SELECT FROM pg_roles WHERE rolname = 'scumble_app') THEN
        EXECUTE format('REVOKE ALL ON ALL TABLES IN SCHEMA %I FROM scumble_app', current_schema());
        EXECUTE format('REVOKE ALL ON ALL SEQUENCES IN SCHEMA %I FROM scumble_app', current_schema());
        EXECUTE format('REVOKE ALL ON SCHEMA %I FROM scumble_app', current_schema());
    END IF;
END $$;
