-- +goose Up
-- Paints as their makers sell them, what may stand in for what, and the boxes
-- they are sold in. The schema halfpot itself is made before the first
-- migration, since the version table lives in it.
--
-- Everywhere: rows that are parts of another (a box's contents, a recipe's
-- steps) go with it, and nothing else does; "entered" keeps the order things were first entered in; volumes
-- are whole microlitres; a nullable measure that is null is not known; an
-- empty text is none.

CREATE DOMAIN halfpot.slug AS text
    CONSTRAINT slug_form CHECK (value ~ '^[a-z0-9]+(-[a-z0-9]+)*$' AND length(value) <= 80);

CREATE TABLE halfpot.paint (
    id            halfpot.slug NOT NULL CONSTRAINT paint_once PRIMARY KEY,
    entered       bigint NOT NULL GENERATED ALWAYS AS IDENTITY,
    maker         text NOT NULL,
    range         text NOT NULL,
    name          text NOT NULL CONSTRAINT paint_has_name CHECK (btrim(name) <> ''),
    code          text NOT NULL,
    type          halfpot.slug NOT NULL,
    colour        text CONSTRAINT paint_colour_form CHECK (colour ~ '^#[0-9a-f]{6}$'),
    volume_solids double precision CONSTRAINT paint_volume_solids_range CHECK (volume_solids > 0 AND volume_solids <= 1),
    density_g_ml  double precision CONSTRAINT paint_density_range CHECK (density_g_ml > 0 AND density_g_ml < 30)
);

CREATE TABLE halfpot.stand_in (
    asked      halfpot.slug NOT NULL CONSTRAINT stand_in_asked_is_paint REFERENCES halfpot.paint,
    use        halfpot.slug NOT NULL CONSTRAINT stand_in_use_is_paint REFERENCES halfpot.paint,
    entered    bigint NOT NULL GENERATED ALWAYS AS IDENTITY,
    compromise bigint NOT NULL CONSTRAINT stand_in_compromise_range CHECK (compromise >= 0),
    either_way boolean NOT NULL,
    note       text NOT NULL,
    CONSTRAINT stand_in_once PRIMARY KEY (asked, use),
    CONSTRAINT stand_in_is_another CHECK (asked <> use)
);

CREATE TABLE halfpot.product (
    id      halfpot.slug NOT NULL CONSTRAINT product_once PRIMARY KEY,
    entered bigint NOT NULL GENERATED ALWAYS AS IDENTITY,
    name    text NOT NULL,
    code    text NOT NULL
);

CREATE TABLE halfpot.product_content (
    product   halfpot.slug NOT NULL CONSTRAINT product_content_of_product REFERENCES halfpot.product ON DELETE CASCADE,
    position  integer NOT NULL CONSTRAINT product_content_position_range CHECK (position >= 1),
    paint     halfpot.slug NOT NULL CONSTRAINT product_content_is_paint REFERENCES halfpot.paint,
    volume_ul bigint NOT NULL CONSTRAINT product_content_volume_range CHECK (volume_ul > 0),
    count     integer NOT NULL CONSTRAINT product_content_count_range CHECK (count >= 1),
    CONSTRAINT product_content_once PRIMARY KEY (product, position)
);
