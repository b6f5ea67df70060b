-- add_merged notes that a paint was another, entered twice.
-- $1 the id that is no more, $2 the paint it was, $3 when that was noted; no rows.
INSERT INTO halfpot.merged (paint, into_paint, at) VALUES ($1, $2, $3)
