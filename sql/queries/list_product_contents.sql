-- list_product_contents gives what is in each box, by product and position.
-- No parameters.
SELECT product, paint, volume_ul, count
FROM halfpot.product_content
ORDER BY product, position
