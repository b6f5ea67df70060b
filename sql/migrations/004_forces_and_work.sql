-- +goose Up
-- What the painter plans to paint, and what has been painted so far. The work
-- log is append-only: a slip is undone by a job that points at it.

-- +goose StatementBegin
CREATE FUNCTION halfpot.refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'halfpot.% is append-only: % is refused', TG_TABLE_NAME, TG_OP
        USING ERRCODE = 'restrict_violation', TABLE = TG_TABLE_NAME, SCHEMA = TG_TABLE_SCHEMA, CONSTRAINT = TG_NAME,
              HINT = 'Record a correction that points at the row instead.';
END
$$;
-- +goose StatementEnd

CREATE TABLE halfpot.force (
    id      halfpot.slug NOT NULL CONSTRAINT force_once PRIMARY KEY,
    entered bigint NOT NULL GENERATED ALWAYS AS IDENTITY,
    name    text NOT NULL
);

CREATE TABLE halfpot.unit (
    force     halfpot.slug NOT NULL CONSTRAINT unit_of_force REFERENCES halfpot.force ON DELETE CASCADE,
    position  integer NOT NULL CONSTRAINT unit_position_range CHECK (position >= 1),
    id        halfpot.slug NOT NULL,
    name      text NOT NULL,
    figures   integer NOT NULL CONSTRAINT unit_figures_range CHECK (figures >= 1),
    figure    halfpot.slug NOT NULL CONSTRAINT unit_figure_exists REFERENCES halfpot.figure,
    recipe    halfpot.slug NOT NULL CONSTRAINT unit_recipe_exists REFERENCES halfpot.recipe,
    undercoat halfpot.slug CONSTRAINT unit_undercoat_is_paint REFERENCES halfpot.paint,
    batch     integer NOT NULL CONSTRAINT unit_batch_range CHECK (batch >= 0),
    worth     integer CONSTRAINT unit_worth_range CHECK (worth >= 0),
    CONSTRAINT unit_once PRIMARY KEY (force, position),
    CONSTRAINT unit_id_once UNIQUE (force, id)
);

CREATE TABLE halfpot.match_rule (
    force    halfpot.slug NOT NULL CONSTRAINT match_rule_of_force REFERENCES halfpot.force ON DELETE CASCADE,
    position integer NOT NULL CONSTRAINT match_rule_position_range CHECK (position >= 1),
    label    text NOT NULL CONSTRAINT match_rule_has_label CHECK (btrim(label) <> ''),
    CONSTRAINT match_rule_once PRIMARY KEY (force, position),
    CONSTRAINT match_rule_label_once UNIQUE (force, label)
);

CREATE TABLE halfpot.match_step (
    force    halfpot.slug NOT NULL,
    rule     integer NOT NULL,
    position integer NOT NULL CONSTRAINT match_step_position_range CHECK (position >= 1),
    step     text NOT NULL CONSTRAINT match_step_has_name CHECK (btrim(step) <> ''),
    CONSTRAINT match_step_once PRIMARY KEY (force, rule, position),
    CONSTRAINT match_step_of_rule FOREIGN KEY (force, rule) REFERENCES halfpot.match_rule ON DELETE CASCADE
);

CREATE TABLE halfpot.match_unit (
    force    halfpot.slug NOT NULL,
    rule     integer NOT NULL,
    position integer NOT NULL CONSTRAINT match_unit_position_range CHECK (position >= 1),
    unit     halfpot.slug NOT NULL,
    CONSTRAINT match_unit_once PRIMARY KEY (force, rule, position),
    CONSTRAINT match_unit_of_rule FOREIGN KEY (force, rule) REFERENCES halfpot.match_rule ON DELETE CASCADE,
    CONSTRAINT match_unit_is_unit FOREIGN KEY (force, unit) REFERENCES halfpot.unit (force, id)
);

-- One entry of the work log: what was painted at one go.
CREATE TABLE halfpot.job (
    number bigint NOT NULL GENERATED ALWAYS AS IDENTITY CONSTRAINT job_number_once UNIQUE,
    id     halfpot.slug NOT NULL CONSTRAINT job_once PRIMARY KEY,
    force  halfpot.slug NOT NULL CONSTRAINT job_of_force REFERENCES halfpot.force,
    at     timestamptz NOT NULL CONSTRAINT job_at_is_time CHECK (isfinite(at)),
    note   text NOT NULL,
    undoes halfpot.slug CONSTRAINT job_undone_once UNIQUE CONSTRAINT job_undoes_exists REFERENCES halfpot.job,
    CONSTRAINT job_force_once UNIQUE (id, force),
    CONSTRAINT job_undoes_another CHECK (undoes <> id)
);

CREATE TABLE halfpot.work (
    job      halfpot.slug NOT NULL,
    position integer NOT NULL CONSTRAINT work_position_range CHECK (position >= 1),
    force    halfpot.slug NOT NULL,
    unit     halfpot.slug NOT NULL,
    step     halfpot.slug NOT NULL,
    figures  integer NOT NULL CONSTRAINT work_figures_range CHECK (figures >= 1),
    mix      text NOT NULL, -- key of the mix it was done with
    CONSTRAINT work_once PRIMARY KEY (job, position),
    CONSTRAINT work_of_job FOREIGN KEY (job, force) REFERENCES halfpot.job (id, force),
    -- Deferred, since a changed force is written anew: only its end counts.
    CONSTRAINT work_unit_exists FOREIGN KEY (force, unit) REFERENCES halfpot.unit (force, id) DEFERRABLE INITIALLY DEFERRED
);

CREATE INDEX work_by_unit ON halfpot.work (force, unit);

-- ALWAYS: not even a session that plays back a replica passes them by.
CREATE TRIGGER job_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON halfpot.job
    FOR EACH STATEMENT EXECUTE FUNCTION halfpot.refuse_change();
ALTER TABLE halfpot.job ENABLE ALWAYS TRIGGER job_append_only;
CREATE TRIGGER work_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON halfpot.work
    FOR EACH STATEMENT EXECUTE FUNCTION halfpot.refuse_change();
ALTER TABLE halfpot.work ENABLE ALWAYS TRIGGER work_append_only;
