-- clear_figure_regions removes the rows of some figures and what belongs to them, before they are written anew.
-- $1 ids of the figures.
DELETE FROM halfpot.figure_region
WHERE figure = ANY ($1::text[])
