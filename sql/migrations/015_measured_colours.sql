-- +goose Up
-- Colours of paints as an instrument measured them, and mixes that the painter made
-- with what they looked like, from which the strength of paints in mixes is learned.

CREATE TABLE halfpot.spectrum (
    paint       halfpot.slug NOT NULL CONSTRAINT spectrum_once PRIMARY KEY
                CONSTRAINT spectrum_of_paint REFERENCES halfpot.paint ON DELETE CASCADE,
    entered     bigint NOT NULL GENERATED ALWAYS AS IDENTITY,
    nm          double precision[] NOT NULL,
    reflectance double precision[] NOT NULL,
    CONSTRAINT spectrum_pairs CHECK (cardinality(nm) = cardinality(reflectance) AND cardinality(nm) >= 2),
    CONSTRAINT spectrum_range CHECK (0 <= ALL (reflectance) AND 1.2 >= ALL (reflectance) AND 300 <= ALL (nm) AND 1100 >= ALL (nm))
);

CREATE TABLE halfpot.trial_mix (
    mix     text NOT NULL CONSTRAINT trial_mix_once PRIMARY KEY,
    entered bigint NOT NULL GENERATED ALWAYS AS IDENTITY,
    seen    text NOT NULL CONSTRAINT trial_mix_seen_form CHECK (seen ~ '^#[0-9a-f]{6}$'),
    note    text NOT NULL
);

CREATE TABLE halfpot.trial_mix_part (
    mix      text NOT NULL CONSTRAINT trial_mix_part_of_mix REFERENCES halfpot.trial_mix ON DELETE CASCADE,
    position integer NOT NULL CONSTRAINT trial_mix_part_position_range CHECK (position >= 1),
    paint    halfpot.slug NOT NULL CONSTRAINT trial_mix_part_is_paint REFERENCES halfpot.paint,
    parts    double precision NOT NULL CONSTRAINT trial_mix_part_parts_range CHECK (parts > 0 AND parts <= 1000),
    CONSTRAINT trial_mix_part_once PRIMARY KEY (mix, position),
    CONSTRAINT trial_mix_part_paint_once UNIQUE (mix, paint)
);
