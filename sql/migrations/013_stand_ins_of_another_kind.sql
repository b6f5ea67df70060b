-- +goose Up
-- A stand-in of another kind of paint, such as a wash for an opaque paint, is only
-- taken where the painter means it. What was noted before is taken as meant.

ALTER TABLE halfpot.stand_in ADD COLUMN other_kind boolean NOT NULL DEFAULT false;

UPDATE halfpot.stand_in s SET other_kind = true
FROM halfpot.paint a, halfpot.paint u
WHERE a.id = s.asked AND u.id = s.use AND a.type <> u.type;
