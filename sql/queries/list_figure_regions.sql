-- list_figure_regions gives the regions of figures, by figure and position.
-- No parameters.
SELECT figure, name, share, area_cm2
FROM halfpot.figure_region
ORDER BY figure, position
