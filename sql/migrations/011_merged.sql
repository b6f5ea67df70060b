-- +goose Up
-- Paints that were entered twice: an id that is no more, and the paint it really was.
-- The log of work names paints by the ids they had, and files may still do so; this says
-- what they stand for. Rows are added, never changed or removed.

CREATE TABLE halfpot.merged (
    paint      halfpot.slug NOT NULL CONSTRAINT merged_once PRIMARY KEY,
    into_paint halfpot.slug NOT NULL,
    at         timestamptz NOT NULL CONSTRAINT merged_at_is_time CHECK (isfinite(at)),
    CONSTRAINT merged_into_another CHECK (paint <> into_paint)
);

CREATE TRIGGER merged_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON halfpot.merged
    FOR EACH STATEMENT EXECUTE FUNCTION halfpot.refuse_change();
ALTER TABLE halfpot.merged ENABLE ALWAYS TRIGGER merged_append_only;

-- A unit that was painted on is retired like all else: its id is FORCE@UNIT.
ALTER TABLE halfpot.retired DROP CONSTRAINT retired_kind_known;
ALTER TABLE halfpot.retired ADD CONSTRAINT retired_kind_known
    CHECK (kind IN ('paint', 'product', 'shop', 'offer', 'figure', 'recipe', 'force', 'unit'));
