-- +goose Up
-- What has been learned of the painter's hand, as an append-only history whose
-- last entries are what holds now, and the painter's own settings.

CREATE TABLE halfpot.factor_history (
    number       bigint NOT NULL GENERATED ALWAYS AS IDENTITY CONSTRAINT factor_history_once PRIMARY KEY,
    level        text NOT NULL CONSTRAINT factor_history_level_known CHECK (level IN ('method', 'type', 'paint')),
    key          halfpot.slug NOT NULL,
    -- flagged: an observation that was too odd to learn from; the factor stays.
    change       text NOT NULL CONSTRAINT factor_history_change_known CHECK (change IN ('learned', 'pinned', 'reset', 'flagged')),
    log_mean     double precision NOT NULL CONSTRAINT factor_history_mean_is_number CHECK (log_mean > '-Infinity' AND log_mean < 'Infinity'),
    log_sd       double precision NOT NULL CONSTRAINT factor_history_sd_range CHECK (log_sd >= 0 AND log_sd < 'Infinity'),
    observations integer NOT NULL CONSTRAINT factor_history_observations_range CHECK (observations >= 0),
    pinned       boolean NOT NULL,
    -- Actual over estimated use, where an observation brought the change.
    observed     double precision CONSTRAINT factor_history_observed_range CHECK (observed > 0 AND observed < 'Infinity'),
    job          halfpot.slug CONSTRAINT factor_history_job_exists REFERENCES halfpot.job,
    note         text NOT NULL,
    at           timestamptz NOT NULL CONSTRAINT factor_history_at_is_time CHECK (isfinite(at))
);

CREATE INDEX factor_history_by_key ON halfpot.factor_history (level, key, number);

CREATE TRIGGER factor_history_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON halfpot.factor_history
    FOR EACH STATEMENT EXECUTE FUNCTION halfpot.refuse_change();
ALTER TABLE halfpot.factor_history ENABLE ALWAYS TRIGGER factor_history_append_only;

-- The factors that hold now.
CREATE VIEW halfpot.factor AS
SELECT level, key, log_mean, log_sd, observations, pinned, at
FROM (
    SELECT DISTINCT ON (level, key) level, key, change, log_mean, log_sd, observations, pinned, at
    FROM halfpot.factor_history
    WHERE change <> 'flagged'
    ORDER BY level, key, number DESC
) AS latest
WHERE change <> 'reset';

CREATE TABLE halfpot.setting (
    name    halfpot.slug NOT NULL CONSTRAINT setting_once PRIMARY KEY,
    value   text NOT NULL,
    changed timestamptz NOT NULL CONSTRAINT setting_changed_is_time CHECK (isfinite(changed))
);
