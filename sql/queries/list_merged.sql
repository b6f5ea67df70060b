-- list_merged gives the ids of paints that are no more, with the paint each was.
-- No parameters.
SELECT paint, into_paint FROM halfpot.merged ORDER BY paint
