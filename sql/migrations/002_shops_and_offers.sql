-- +goose Up
-- Sellers, what delivery costs, and what they ask for which box. A shop has
-- one currency, and the foreign key of offers holds prices to it. Keys that
-- a load may break for a moment are checked when it commits.

CREATE DOMAIN halfpot.currency AS char(3)
    CONSTRAINT currency_form CHECK (value ~ '^[A-Z]{3}$');

CREATE TABLE halfpot.shop (
    id        halfpot.slug NOT NULL CONSTRAINT shop_once PRIMARY KEY,
    entered   bigint NOT NULL GENERATED ALWAYS AS IDENTITY,
    name      text NOT NULL,
    currency  halfpot.currency NOT NULL,
    min_order numeric(12,3) NOT NULL CONSTRAINT shop_min_order_range CHECK (min_order >= 0 AND min_order < 'Infinity'),
    CONSTRAINT shop_currency_once UNIQUE (id, currency)
);

CREATE TABLE halfpot.delivery_band (
    shop        halfpot.slug NOT NULL CONSTRAINT delivery_band_of_shop REFERENCES halfpot.shop ON DELETE CASCADE,
    from_amount numeric(12,3) NOT NULL CONSTRAINT delivery_band_from_range CHECK (from_amount >= 0 AND from_amount < 'Infinity'),
    -- Below zero is money off.
    fee         numeric(12,3) NOT NULL CONSTRAINT delivery_band_fee_is_number CHECK (fee > '-Infinity' AND fee < 'Infinity'),
    CONSTRAINT delivery_band_once PRIMARY KEY (shop, from_amount)
);

CREATE TABLE halfpot.offer (
    product     halfpot.slug NOT NULL CONSTRAINT offer_of_product REFERENCES halfpot.product,
    shop        halfpot.slug NOT NULL,
    entered     bigint NOT NULL GENERATED ALWAYS AS IDENTITY,
    price       numeric(12,3) NOT NULL CONSTRAINT offer_price_range CHECK (price >= 0 AND price < 'Infinity'),
    currency    halfpot.currency NOT NULL,
    stock_limit integer CONSTRAINT offer_stock_limit_range CHECK (stock_limit >= 0),
    CONSTRAINT offer_once PRIMARY KEY (product, shop),
    CONSTRAINT offer_of_shop FOREIGN KEY (shop) REFERENCES halfpot.shop,
    CONSTRAINT offer_in_shop_currency FOREIGN KEY (shop, currency)
        REFERENCES halfpot.shop (id, currency) DEFERRABLE INITIALLY DEFERRED
);
