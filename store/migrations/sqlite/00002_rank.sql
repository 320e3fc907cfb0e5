-- +goose Up

-- The place given by hand within a precedence: below 0 ahead of what the rule orders,
-- above 0 behind it, 0 by the rule.
ALTER TABLE messages ADD COLUMN rank INTEGER NOT NULL DEFAULT 0;
