-- +goose Up
-- What must come after what, and how soon: a step's wait may have an end, before
-- which the next one is begun, and steps and units may name those they follow.

ALTER TABLE halfpot.recipe_step
    ADD COLUMN next_within interval NOT NULL DEFAULT interval '0' CONSTRAINT recipe_step_next_within_range CHECK (next_within >= interval '0'),
    ADD COLUMN after_steps text[]   NOT NULL DEFAULT '{}';

ALTER TABLE halfpot.unit
    ADD COLUMN after_units text[] NOT NULL DEFAULT '{}';
