-- +goose Up
-- What was ordered at shops, and what became of it: received, called off, or
-- put right by an entry that points at another. What is on its way is ordered
-- less received less called off; it is reckoned and stored nowhere. All four
-- tables are tables of events: rows are added, never changed or removed.

CREATE TABLE halfpot.shop_order (
    number   bigint NOT NULL GENERATED ALWAYS AS IDENTITY CONSTRAINT shop_order_number_once UNIQUE,
    id       halfpot.slug NOT NULL CONSTRAINT shop_order_once PRIMARY KEY,
    key      uuid NOT NULL CONSTRAINT shop_order_key_once UNIQUE,
    shop     halfpot.slug NOT NULL CONSTRAINT shop_order_shop_exists REFERENCES halfpot.shop,
    force    halfpot.slug CONSTRAINT shop_order_force_exists REFERENCES halfpot.force,
    at       timestamptz NOT NULL CONSTRAINT shop_order_at_is_time CHECK (isfinite(at)),
    -- The painter's own day, where only that was given.
    day      date CONSTRAINT shop_order_day_range
        CHECK (at AT TIME ZONE 'UTC' >= day - interval '14 hours' AND at AT TIME ZONE 'UTC' < day + interval '36 hours'),
    -- Of all its prices: what the shop's was then.
    currency halfpot.currency NOT NULL,
    -- Below zero is money off; null where it is not known.
    delivery numeric(12,3) CONSTRAINT shop_order_delivery_is_number CHECK (delivery > '-Infinity' AND delivery < 'Infinity'),
    note     text NOT NULL
);

CREATE TABLE halfpot.order_line (
    shop_order halfpot.slug NOT NULL CONSTRAINT order_line_of_order REFERENCES halfpot.shop_order,
    position   integer NOT NULL CONSTRAINT order_line_position_range CHECK (position >= 1),
    product    halfpot.slug NOT NULL CONSTRAINT order_line_product_exists REFERENCES halfpot.product,
    count      integer NOT NULL CONSTRAINT order_line_count_range CHECK (count >= 1),
    price      numeric(12,3) CONSTRAINT order_line_price_range CHECK (price >= 0 AND price < 'Infinity'),
    CONSTRAINT order_line_once PRIMARY KEY (shop_order, position),
    CONSTRAINT order_line_product_once UNIQUE (shop_order, product)
);

CREATE TABLE halfpot.order_event (
    id         bigint NOT NULL GENERATED ALWAYS AS IDENTITY CONSTRAINT order_event_number_once PRIMARY KEY,
    key        uuid NOT NULL CONSTRAINT order_event_key_once UNIQUE,
    shop_order halfpot.slug NOT NULL CONSTRAINT order_event_of_order REFERENCES halfpot.shop_order,
    kind       text NOT NULL CONSTRAINT order_event_kind_known CHECK (kind IN ('received', 'called-off', 'corrected')),
    at         timestamptz NOT NULL CONSTRAINT order_event_at_is_time CHECK (isfinite(at)),
    day        date CONSTRAINT order_event_day_range
        CHECK (at AT TIME ZONE 'UTC' >= day - interval '14 hours' AND at AT TIME ZONE 'UTC' < day + interval '36 hours'),
    product    halfpot.slug,
    count      integer CONSTRAINT order_event_count_range CHECK (count >= 1),
    -- What came instead of the product, where another did.
    came       halfpot.slug CONSTRAINT order_event_came_exists REFERENCES halfpot.product,
    price      numeric(12,3) CONSTRAINT order_event_price_range CHECK (price >= 0 AND price < 'Infinity'),
    undoes     bigint,
    note       text NOT NULL,
    CONSTRAINT order_event_of_order_once UNIQUE (shop_order, id),
    CONSTRAINT order_event_is_of_line FOREIGN KEY (shop_order, product) REFERENCES halfpot.order_line (shop_order, product),
    CONSTRAINT order_event_undoes_same_order FOREIGN KEY (shop_order, undoes) REFERENCES halfpot.order_event (shop_order, id),
    CONSTRAINT order_event_undoes_earlier CHECK (undoes < id),
    CONSTRAINT order_event_measure CHECK (
        CASE kind
            WHEN 'corrected' THEN undoes IS NOT NULL AND num_nonnulls(product, count, came, price) = 0
            WHEN 'called-off' THEN num_nulls(product, count) = 0 AND num_nonnulls(came, price, undoes) = 0
            ELSE num_nulls(product, count) = 0 AND undoes IS NULL
        END)
);

CREATE UNIQUE INDEX order_event_undone_once ON halfpot.order_event (undoes) WHERE undoes IS NOT NULL;

-- The pots that came in the boxes received.
CREATE TABLE halfpot.order_pot (
    event    bigint NOT NULL CONSTRAINT order_pot_of_event REFERENCES halfpot.order_event,
    position integer NOT NULL CONSTRAINT order_pot_position_range CHECK (position >= 1),
    pot      halfpot.slug NOT NULL CONSTRAINT order_pot_pot_exists REFERENCES halfpot.pot (id) CONSTRAINT order_pot_came_once UNIQUE,
    CONSTRAINT order_pot_once PRIMARY KEY (event, position)
);

CREATE TRIGGER shop_order_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON halfpot.shop_order
    FOR EACH STATEMENT EXECUTE FUNCTION halfpot.refuse_change();
ALTER TABLE halfpot.shop_order ENABLE ALWAYS TRIGGER shop_order_append_only;
CREATE TRIGGER order_line_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON halfpot.order_line
    FOR EACH STATEMENT EXECUTE FUNCTION halfpot.refuse_change();
ALTER TABLE halfpot.order_line ENABLE ALWAYS TRIGGER order_line_append_only;
CREATE TRIGGER order_event_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON halfpot.order_event
    FOR EACH STATEMENT EXECUTE FUNCTION halfpot.refuse_change();
ALTER TABLE halfpot.order_event ENABLE ALWAYS TRIGGER order_event_append_only;
CREATE TRIGGER order_pot_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON halfpot.order_pot
    FOR EACH STATEMENT EXECUTE FUNCTION halfpot.refuse_change();
ALTER TABLE halfpot.order_pot ENABLE ALWAYS TRIGGER order_pot_append_only;
