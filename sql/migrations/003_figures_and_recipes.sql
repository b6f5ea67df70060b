-- +goose Up
-- What is painted, and how. A step's own mix is its choice 0; the
-- alternatives the painter accepts follow from 1.

CREATE TABLE halfpot.figure (
    id         halfpot.slug NOT NULL CONSTRAINT figure_once PRIMARY KEY,
    entered    bigint NOT NULL GENERATED ALWAYS AS IDENTITY,
    name       text NOT NULL,
    area_cm2   numeric CONSTRAINT figure_area_range CHECK (area_cm2 > 0 AND area_cm2 < 'Infinity'),
    -- The person it is reckoned from: all null without one. 0 asks for the default.
    stature_cm double precision,
    mass_kg    double precision,
    scale      double precision CONSTRAINT figure_scale_range CHECK (scale >= 0 AND scale < 'Infinity'),
    formula    text,
    clo        double precision,
    kit        double precision,
    heroic     double precision,
    source     text NOT NULL,
    note       text NOT NULL,
    CONSTRAINT figure_body_whole CHECK (num_nulls(stature_cm, mass_kg, scale, formula, clo, kit, heroic) IN (0, 7)),
    CONSTRAINT figure_body_range CHECK (
        stature_cm >= 0 AND stature_cm < 'Infinity' AND mass_kg >= 0 AND mass_kg < 'Infinity' AND clo >= 0 AND clo < 'Infinity'
        AND kit >= 0 AND kit < 'Infinity' AND heroic >= 0 AND heroic < 'Infinity'),
    CONSTRAINT figure_has_area CHECK (area_cm2 IS NOT NULL OR scale IS NOT NULL)
);

CREATE TABLE halfpot.figure_region (
    figure   halfpot.slug NOT NULL CONSTRAINT figure_region_of_figure REFERENCES halfpot.figure ON DELETE CASCADE,
    position integer NOT NULL CONSTRAINT figure_region_position_range CHECK (position >= 1),
    name     text NOT NULL CONSTRAINT figure_region_has_name CHECK (btrim(name) <> ''),
    share    double precision CONSTRAINT figure_region_share_range CHECK (share > 0 AND share <= 1),
    area_cm2 numeric CONSTRAINT figure_region_area_range CHECK (area_cm2 > 0 AND area_cm2 < 'Infinity'),
    CONSTRAINT figure_region_once PRIMARY KEY (figure, position),
    CONSTRAINT figure_region_name_once UNIQUE (figure, name),
    CONSTRAINT figure_region_share_or_area CHECK (num_nonnulls(share, area_cm2) = 1)
);

CREATE TABLE halfpot.recipe (
    id      halfpot.slug NOT NULL CONSTRAINT recipe_once PRIMARY KEY,
    entered bigint NOT NULL GENERATED ALWAYS AS IDENTITY,
    name    text NOT NULL
);

CREATE TABLE halfpot.recipe_step (
    recipe       halfpot.slug NOT NULL CONSTRAINT recipe_step_of_recipe REFERENCES halfpot.recipe ON DELETE CASCADE,
    position     integer NOT NULL CONSTRAINT recipe_step_position_range CHECK (position >= 1),
    id           halfpot.slug NOT NULL,
    name         text NOT NULL,
    label        text NOT NULL,
    all_regions  boolean NOT NULL,
    share        double precision CONSTRAINT recipe_step_share_range CHECK (share > 0 AND share <= 1),
    method       text NOT NULL,
    no_stand_ins boolean NOT NULL,
    coats        integer NOT NULL CONSTRAINT recipe_step_coats_range CHECK (coats >= 0),
    optional     boolean NOT NULL,
    wait_after   interval NOT NULL CONSTRAINT recipe_step_wait_after_range CHECK (wait_after >= interval '0'),
    film_um      double precision CONSTRAINT recipe_step_film_range CHECK (film_um > 0 AND film_um < 'Infinity'),
    loss         double precision CONSTRAINT recipe_step_loss_range CHECK (loss >= 0 AND loss < 1),
    CONSTRAINT recipe_step_once PRIMARY KEY (recipe, position),
    CONSTRAINT recipe_step_id_once UNIQUE (recipe, id)
);

CREATE TABLE halfpot.step_region (
    recipe   halfpot.slug NOT NULL,
    step     integer NOT NULL,
    left_out boolean NOT NULL, -- all but this one
    position integer NOT NULL CONSTRAINT step_region_position_range CHECK (position >= 1),
    name     text NOT NULL CONSTRAINT step_region_has_name CHECK (btrim(name) <> ''),
    CONSTRAINT step_region_once PRIMARY KEY (recipe, step, left_out, position),
    CONSTRAINT step_region_of_step FOREIGN KEY (recipe, step) REFERENCES halfpot.recipe_step ON DELETE CASCADE
);

CREATE TABLE halfpot.step_coats_over (
    recipe    halfpot.slug NOT NULL,
    step      integer NOT NULL,
    position  integer NOT NULL CONSTRAINT step_coats_over_position_range CHECK (position >= 1),
    undercoat halfpot.slug NOT NULL CONSTRAINT step_coats_over_is_paint REFERENCES halfpot.paint,
    coats     integer NOT NULL CONSTRAINT step_coats_over_coats_range CHECK (coats >= 0),
    CONSTRAINT step_coats_over_once PRIMARY KEY (recipe, step, position),
    CONSTRAINT step_coats_over_of_step FOREIGN KEY (recipe, step) REFERENCES halfpot.recipe_step ON DELETE CASCADE
);

CREATE TABLE halfpot.step_choice (
    recipe       halfpot.slug NOT NULL,
    step         integer NOT NULL,
    choice       integer NOT NULL CONSTRAINT step_choice_number_range CHECK (choice >= 0),
    label        text NOT NULL,
    compromise   bigint NOT NULL CONSTRAINT step_choice_compromise_range CHECK (compromise >= 0),
    -- What thins it: parts are null where the choice does not say, medium where it is water.
    medium       halfpot.slug CONSTRAINT step_choice_medium_is_paint REFERENCES halfpot.paint,
    paint_parts  double precision CONSTRAINT step_choice_paint_parts_range CHECK (paint_parts > 0 AND paint_parts < 'Infinity'),
    medium_parts double precision CONSTRAINT step_choice_medium_parts_range CHECK (medium_parts > 0 AND medium_parts < 'Infinity'),
    CONSTRAINT step_choice_once PRIMARY KEY (recipe, step, choice),
    CONSTRAINT step_choice_of_step FOREIGN KEY (recipe, step) REFERENCES halfpot.recipe_step ON DELETE CASCADE,
    CONSTRAINT step_choice_thinning_whole CHECK (
        num_nulls(paint_parts, medium_parts) IN (0, 2) AND (medium IS NULL OR paint_parts IS NOT NULL))
);

CREATE TABLE halfpot.step_part (
    recipe   halfpot.slug NOT NULL,
    step     integer NOT NULL,
    choice   integer NOT NULL,
    position integer NOT NULL CONSTRAINT step_part_position_range CHECK (position >= 1),
    paint    halfpot.slug NOT NULL CONSTRAINT step_part_is_paint REFERENCES halfpot.paint,
    parts    double precision NOT NULL CONSTRAINT step_part_parts_range CHECK (parts > 0 AND parts < 'Infinity'),
    CONSTRAINT step_part_once PRIMARY KEY (recipe, step, choice, position),
    CONSTRAINT step_part_of_choice FOREIGN KEY (recipe, step, choice) REFERENCES halfpot.step_choice ON DELETE CASCADE
);
