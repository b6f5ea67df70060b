-- +goose Up
-- What the rules of order ask of paints, figures and steps: an empty text is
-- not known, or for a step that paint is put on.

ALTER TABLE halfpot.paint
    ADD COLUMN finish  text NOT NULL DEFAULT '',
    ADD COLUMN carrier text NOT NULL DEFAULT '',
    ADD COLUMN tone    text NOT NULL DEFAULT '';

ALTER TABLE halfpot.figure
    ADD COLUMN material text NOT NULL DEFAULT '';

ALTER TABLE halfpot.recipe_step
    ADD COLUMN kind     text NOT NULL DEFAULT '',
    ADD COLUMN per_item double precision NOT NULL DEFAULT 0,
    ADD COLUMN allow    text[] NOT NULL DEFAULT '{}';

-- Minutes at the bench of a sitting, waiting taken off; 0: not timed.
ALTER TABLE halfpot.job
    ADD COLUMN minutes integer NOT NULL DEFAULT 0;
