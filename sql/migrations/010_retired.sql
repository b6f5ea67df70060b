-- +goose Up
-- What the painter no longer wants to see but was used: out of lists and of what can be
-- bought, and still in history. A row goes when the thing is brought back.

CREATE TABLE halfpot.retired (
    kind text NOT NULL CONSTRAINT retired_kind_known CHECK (kind IN ('paint', 'product', 'shop', 'offer', 'figure', 'recipe', 'force')),
    id   text NOT NULL CONSTRAINT retired_has_id CHECK (id <> ''), -- of an offer PRODUCT@SHOP
    at   timestamptz NOT NULL CONSTRAINT retired_at_is_time CHECK (isfinite(at)),
    CONSTRAINT retired_once PRIMARY KEY (kind, id)
);
