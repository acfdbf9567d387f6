-- +goose Up
-- Editions of one price book share a series. An edition that an appraisal has
-- used never changes again: used_at is set once, by the appraisal.
CREATE TABLE price_books (
    id          uuid        NOT NULL,
    club_id     uuid        NOT NULL,
    version     bigint      NOT NULL,
    created_at  timestamptz NOT NULL,
    updated_at  timestamptz NOT NULL,
    archived_at timestamptz,
    series_id   uuid        NOT NULL,
    edition     bigint      NOT NULL,
    used_at     timestamptz,
    document    json        NOT NULL,
    CONSTRAINT price_books_pk PRIMARY KEY (id),
    CONSTRAINT price_books_in_club UNIQUE (club_id, id),
    CONSTRAINT price_books_club FOREIGN KEY (club_id) REFERENCES clubs (id),
    CONSTRAINT price_books_edition_taken UNIQUE (club_id, series_id, edition),
    CONSTRAINT price_books_version CHECK (version >= 1),
    CONSTRAINT price_books_edition CHECK (edition >= 1)
);

-- +goose StatementBegin
CREATE FUNCTION price_books_used_is_kept() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'a price book that an appraisal has used cannot change'
        USING ERRCODE = 'check_violation', CONSTRAINT = 'price_books_used_is_kept', TABLE = 'price_books';
END
$$;
-- +goose StatementEnd
CREATE TRIGGER price_books_used_is_kept BEFORE UPDATE ON price_books FOR EACH ROW
    WHEN (OLD.used_at IS NOT NULL AND (NEW.document::text <> OLD.document::text OR NEW.used_at IS DISTINCT FROM OLD.used_at))
    EXECUTE FUNCTION price_books_used_is_kept();

-- +goose Down
DROP TABLE price_books;
DROP FUNCTION price_books_used_is_kept();
