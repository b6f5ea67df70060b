-- +goose Up
-- The painter's pots and all that happened to them. What is left in a pot is
-- reckoned from its events and stored nowhere. Events are append-only: a slip
-- is undone, once, by a correction that points at it.

CREATE TABLE halfpot.pot (
    number        bigint NOT NULL GENERATED ALWAYS AS IDENTITY CONSTRAINT pot_number_once PRIMARY KEY,
    id            halfpot.slug NOT NULL CONSTRAINT pot_once UNIQUE,
    paint         halfpot.slug NOT NULL CONSTRAINT pot_is_paint REFERENCES halfpot.paint,
    product       halfpot.slug CONSTRAINT pot_product_exists REFERENCES halfpot.product,
    nominal_ul    bigint NOT NULL CONSTRAINT pot_nominal_range CHECK (nominal_ul > 0),
    cost          numeric(12,3) CONSTRAINT pot_cost_range CHECK (cost >= 0 AND cost < 'Infinity'),
    cost_currency halfpot.currency,
    place         text NOT NULL,
    opened        timestamptz CONSTRAINT pot_opened_is_time CHECK (isfinite(opened)),
    tare_g        double precision CONSTRAINT pot_tare_range CHECK (tare_g > 0 AND tare_g < 'Infinity'),
    CONSTRAINT pot_cost_whole CHECK (num_nulls(cost, cost_currency) IN (0, 2))
);

CREATE TABLE halfpot.pot_event (
    id        bigint NOT NULL GENERATED ALWAYS AS IDENTITY CONSTRAINT pot_event_number_once PRIMARY KEY,
    pot       bigint NOT NULL CONSTRAINT pot_event_of_pot REFERENCES halfpot.pot,
    at        timestamptz NOT NULL CONSTRAINT pot_event_at_is_time CHECK (isfinite(at)),
    kind      text NOT NULL CONSTRAINT pot_event_kind_known CHECK (kind IN
        ('bought', 'opened', 'judged', 'weighed', 'used', 'spilled', 'thinned', 'dried-out', 'given-away', 'corrected')),
    volume_ul bigint CONSTRAINT pot_event_volume_range CHECK (volume_ul >= 0),
    fraction  double precision CONSTRAINT pot_event_fraction_range CHECK (fraction >= 0 AND fraction <= 1),
    gross_g   double precision CONSTRAINT pot_event_gross_range CHECK (gross_g > 0 AND gross_g < 'Infinity'),
    tare_g    double precision CONSTRAINT pot_event_tare_range CHECK (tare_g > 0 AND tare_g < 'Infinity'),
    estimated boolean NOT NULL,
    undoes    bigint,
    job       halfpot.slug CONSTRAINT pot_event_job_exists REFERENCES halfpot.job,
    note      text NOT NULL,
    -- Says that two entries are the same one; null where each entry is its own.
    key       text,
    CONSTRAINT pot_event_of_pot_once UNIQUE (pot, id),
    CONSTRAINT pot_event_undoes_same_pot FOREIGN KEY (pot, undoes) REFERENCES halfpot.pot_event (pot, id),
    CONSTRAINT pot_event_undoes_earlier CHECK (undoes < id),
    CONSTRAINT pot_event_correction_undoes CHECK ((kind = 'corrected') = (undoes IS NOT NULL)),
    CONSTRAINT pot_event_measure CHECK (
        CASE kind
            WHEN 'judged' THEN num_nonnulls(volume_ul, fraction) = 1 AND gross_g IS NULL
            WHEN 'spilled' THEN num_nonnulls(volume_ul, fraction) = 1 AND gross_g IS NULL
            WHEN 'used' THEN volume_ul IS NOT NULL AND num_nonnulls(fraction, gross_g) = 0
            WHEN 'weighed' THEN gross_g IS NOT NULL AND num_nonnulls(volume_ul, fraction) = 0
            WHEN 'thinned' THEN num_nonnulls(fraction, gross_g) = 0
            WHEN 'bought' THEN num_nonnulls(volume_ul, fraction) <= 1 AND gross_g IS NULL
            ELSE num_nonnulls(volume_ul, fraction, gross_g) = 0
        END)
);

CREATE UNIQUE INDEX pot_event_undone_once ON halfpot.pot_event (undoes) WHERE undoes IS NOT NULL;
CREATE UNIQUE INDEX pot_event_key_once ON halfpot.pot_event (key) WHERE key IS NOT NULL;
CREATE INDEX pot_event_by_job ON halfpot.pot_event (job) WHERE job IS NOT NULL;

CREATE TRIGGER pot_event_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON halfpot.pot_event
    FOR EACH STATEMENT EXECUTE FUNCTION halfpot.refuse_change();
ALTER TABLE halfpot.pot_event ENABLE ALWAYS TRIGGER pot_event_append_only;
