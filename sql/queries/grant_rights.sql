-- grant_rights says what commands may do, as the role halfpot, in a database whose
-- tables belong to another role: read and add anywhere, and beyond that only what
-- stands here. A table that is to be changed or emptied by commands gets a line; an
-- append-only one gets none, and a trigger of refuse_change. Run by the owner after
-- migrations, in one transaction with a setting halfpot.rights, by which rights_given
-- knows later what was run.
-- No parameters, no rows.
DO $$
BEGIN
    EXECUTE format('REVOKE ALL ON DATABASE %I FROM PUBLIC', current_database());
    EXECUTE format('GRANT CONNECT ON DATABASE %I TO halfpot', current_database());
    REVOKE ALL ON SCHEMA halfpot FROM PUBLIC;
    GRANT USAGE ON SCHEMA halfpot TO halfpot;

    REVOKE ALL ON ALL TABLES IN SCHEMA halfpot FROM halfpot;
    GRANT SELECT, INSERT ON ALL TABLES IN SCHEMA halfpot TO halfpot;
    ALTER DEFAULT PRIVILEGES IN SCHEMA halfpot GRANT SELECT, INSERT ON TABLES TO halfpot;
    REVOKE INSERT ON halfpot.migration FROM halfpot;
    -- Numbers are taken, never set.
    GRANT USAGE ON ALL SEQUENCES IN SCHEMA halfpot TO halfpot;
    ALTER DEFAULT PRIVILEGES IN SCHEMA halfpot GRANT USAGE ON SEQUENCES TO halfpot;

    -- What is changed in place, and pots, which are held while events are added.
    GRANT UPDATE, DELETE ON halfpot.paint TO halfpot;
    GRANT UPDATE, DELETE ON halfpot.stand_in TO halfpot;
    GRANT UPDATE, DELETE ON halfpot.product TO halfpot;
    GRANT UPDATE, DELETE ON halfpot.shop TO halfpot;
    GRANT UPDATE, DELETE ON halfpot.offer TO halfpot;
    GRANT UPDATE, DELETE ON halfpot.figure TO halfpot;
    GRANT UPDATE, DELETE ON halfpot.recipe TO halfpot;
    GRANT UPDATE, DELETE ON halfpot.force TO halfpot;
    GRANT UPDATE ON halfpot.pot TO halfpot;
    GRANT UPDATE, DELETE ON halfpot.setting TO halfpot;
    IF to_regclass('halfpot.spectrum') IS NOT NULL THEN -- not in a backup of an older version
        GRANT UPDATE, DELETE ON halfpot.spectrum TO halfpot;
        GRANT UPDATE, DELETE ON halfpot.trial_mix TO halfpot;
        GRANT DELETE ON halfpot.trial_mix_part TO halfpot;
    END IF;
    IF to_regclass('halfpot.retired') IS NOT NULL THEN -- not in a backup of an older version
        GRANT DELETE ON halfpot.retired TO halfpot;
    END IF;

    -- Parts that are written anew with what they belong to. What belongs to them in
    -- turn goes with them.
    GRANT DELETE ON halfpot.product_content TO halfpot;
    GRANT DELETE ON halfpot.delivery_band TO halfpot;
    GRANT DELETE ON halfpot.figure_region TO halfpot;
    GRANT DELETE ON halfpot.recipe_step TO halfpot;
    GRANT DELETE ON halfpot.unit TO halfpot;
    GRANT DELETE ON halfpot.match_rule TO halfpot;

    EXECUTE format('COMMENT ON SCHEMA halfpot IS %L', current_setting('halfpot.rights'));
END
$$
