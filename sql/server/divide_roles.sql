-- divide_roles gives each kind of work in a private cluster a role of its own:
--   halfpot        what commands come in as; may do what queries/grant_rights.sql says
--   halfpot_owner  owns the database and makes its tables; comes in with a key
--   halfpot_maker  the superuser that PostgreSQL cannot be without; has no way in
-- Run by "postgres --single" as the superuser, on a database that may already hold
-- tables. Running it again does no harm.
-- Formatted with the owner's key, of hexadecimal digits: identifiers and
-- passwords of roles can't be parameters. An empty line ends it.
DO $$
DECLARE
    thing record;
BEGIN
    -- Before December 2026 the superuser bore the name that commands have now. Nobody
    -- can rename the user of the session, so somebody else does.
    IF current_user = 'halfpot' THEN
        CREATE ROLE halfpot_renaming SUPERUSER;
        SET SESSION AUTHORIZATION halfpot_renaming;
        ALTER ROLE halfpot RENAME TO halfpot_maker;
        SET SESSION AUTHORIZATION halfpot_maker;
        DROP ROLE halfpot_renaming;
    END IF;
    IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'halfpot') THEN
        CREATE ROLE halfpot;
    END IF;
    IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'halfpot_owner') THEN
        CREATE ROLE halfpot_owner;
    END IF;
    ALTER ROLE halfpot LOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOREPLICATION NOBYPASSRLS;
    ALTER ROLE halfpot_owner LOGIN NOSUPERUSER CREATEDB NOCREATEROLE NOREPLICATION NOBYPASSRLS PASSWORD '%s';
    -- May end the commands' connections when it drops a database.
    GRANT halfpot TO halfpot_owner;
    IF current_database() = 'halfpot' THEN
        ALTER DATABASE halfpot OWNER TO halfpot_owner;
        FOR thing IN
            SELECT format('ALTER SCHEMA %%I OWNER TO halfpot_owner', nspname) AS change
            FROM pg_namespace WHERE nspname = 'halfpot'
            UNION ALL
            SELECT format('ALTER TABLE halfpot.%%I OWNER TO halfpot_owner', relname)
            FROM pg_class WHERE relnamespace = to_regnamespace('halfpot') AND relkind IN ('r', 'p', 'v', 'm')
            UNION ALL
            SELECT format('ALTER ROUTINE %%s OWNER TO halfpot_owner', oid::regprocedure)
            FROM pg_proc WHERE pronamespace = to_regnamespace('halfpot')
            UNION ALL
            SELECT format('ALTER DOMAIN halfpot.%%I OWNER TO halfpot_owner', typname)
            FROM pg_type WHERE typnamespace = to_regnamespace('halfpot') AND typtype = 'd'
        LOOP
            EXECUTE thing.change;
        END LOOP;
    END IF;
END
$$;

