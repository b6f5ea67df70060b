-- +goose Up
-- Every event has a key of its own from birth, by which it is known again
-- when a copy is loaded; and where a day was given, the day is kept.
--
-- The event tables are job, work, pot_event, factor_history and change. Rows
-- are added to them and never changed or removed: whoever works with halfpot
-- needs INSERT and SELECT on them, and nothing else.

ALTER TABLE halfpot.pot_event DISABLE TRIGGER pot_event_append_only;

DROP INDEX halfpot.pot_event_key_once;
-- The keys of what came from files were "file" and 16 bytes in hexadecimal, and still are these bytes.
ALTER TABLE halfpot.pot_event ALTER COLUMN key TYPE uuid USING
    CASE
        WHEN key IS NULL THEN gen_random_uuid()
        WHEN key ~ '^file [0-9a-f]{32}$' THEN substr(key, 6)::uuid
        ELSE md5(key)::uuid
    END;
ALTER TABLE halfpot.pot_event ALTER COLUMN key SET DEFAULT gen_random_uuid();
ALTER TABLE halfpot.pot_event ALTER COLUMN key SET NOT NULL;
ALTER TABLE halfpot.pot_event ADD CONSTRAINT pot_event_key_once UNIQUE (key);

-- The painter's own day, where only that was given; "at" is then a moment of it, wherever
-- on Earth that was, and levels are reckoned with it.
ALTER TABLE halfpot.pot_event ADD COLUMN day date CONSTRAINT pot_event_day_range
    CHECK (at AT TIME ZONE 'UTC' >= day - interval '14 hours' AND at AT TIME ZONE 'UTC' < day + interval '36 hours');
-- Days from files were kept as midnight in UTC.
UPDATE halfpot.pot_event SET day = (at AT TIME ZONE 'UTC')::date WHERE at AT TIME ZONE 'UTC' = (at AT TIME ZONE 'UTC')::date;

ALTER TABLE halfpot.pot_event ENABLE ALWAYS TRIGGER pot_event_append_only;

ALTER TABLE halfpot.pot ADD COLUMN opened_day date CONSTRAINT pot_opened_day_range
    CHECK (opened AT TIME ZONE 'UTC' >= opened_day - interval '14 hours' AND opened AT TIME ZONE 'UTC' < opened_day + interval '36 hours');
UPDATE halfpot.pot SET opened_day = (opened AT TIME ZONE 'UTC')::date WHERE opened AT TIME ZONE 'UTC' = (opened AT TIME ZONE 'UTC')::date;

ALTER TABLE halfpot.job ADD COLUMN key uuid NOT NULL DEFAULT gen_random_uuid() CONSTRAINT job_key_once UNIQUE;
ALTER TABLE halfpot.job ADD COLUMN day date CONSTRAINT job_day_range
    CHECK (at AT TIME ZONE 'UTC' >= day - interval '14 hours' AND at AT TIME ZONE 'UTC' < day + interval '36 hours');

-- Its column "key" is that of the factor.
ALTER TABLE halfpot.factor_history ADD COLUMN event_key uuid NOT NULL DEFAULT gen_random_uuid() CONSTRAINT factor_history_event_key_once UNIQUE;

-- One row for each command that changed anything, written with its change: a
-- command that lost its connection finds out by its key whether it was done,
-- and one that is repeated with the same key is not done twice.
CREATE TABLE halfpot.change (
    number bigint NOT NULL GENERATED ALWAYS AS IDENTITY CONSTRAINT change_once PRIMARY KEY,
    key    uuid NOT NULL CONSTRAINT change_key_once UNIQUE,
    what   text NOT NULL,
    at     timestamptz NOT NULL CONSTRAINT change_at_is_time CHECK (isfinite(at))
);

CREATE TRIGGER change_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON halfpot.change
    FOR EACH STATEMENT EXECUTE FUNCTION halfpot.refuse_change();
ALTER TABLE halfpot.change ENABLE ALWAYS TRIGGER change_append_only;
