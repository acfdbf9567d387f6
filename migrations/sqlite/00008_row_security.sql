-- +goose Up
-- SQLite has no row security: every query names the club itself.
SELECT 1;

-- +goose Down
SELECT 1;
