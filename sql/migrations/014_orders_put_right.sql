-- +goose Up
-- A slip in an order's delivery charge or note is put right by an entry that says
-- it anew; the order's own row stays as it was written.

ALTER TABLE halfpot.order_event
    -- What the shop asked for sending it, of a put-right; below zero is money off.
    ADD COLUMN delivery numeric(12,3) CONSTRAINT order_event_delivery_is_number CHECK (delivery > '-Infinity' AND delivery < 'Infinity'),
    -- The order's note, of a put-right; empty takes it away.
    ADD COLUMN remark text,
    DROP CONSTRAINT order_event_kind_known,
    DROP CONSTRAINT order_event_measure;

ALTER TABLE halfpot.order_event
    ADD CONSTRAINT order_event_kind_known CHECK (kind IN ('received', 'called-off', 'corrected', 'put-right')),
    ADD CONSTRAINT order_event_measure CHECK (
        CASE kind
            WHEN 'corrected' THEN undoes IS NOT NULL AND num_nonnulls(product, count, came, price, delivery, remark) = 0
            WHEN 'put-right' THEN num_nonnulls(delivery, remark) > 0 AND num_nonnulls(product, count, came, price, undoes) = 0
            WHEN 'called-off' THEN num_nulls(product, count) = 0 AND num_nonnulls(came, price, undoes, delivery, remark) = 0
            ELSE num_nulls(product, count) = 0 AND num_nonnulls(undoes, delivery, remark) = 0
        END);
