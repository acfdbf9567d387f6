-- +goose Up
-- Editions of one price book share a series. An edition that an appraisal has
-- used never changes again: used_at is set once, by the appraisal.
CREATE TABLE price_books (
    id          text      NOT NULL,
    club_id     text      NOT NULL,
    version     integer   NOT NULL,
    created_at  timestamp NOT NULL,
    updated_at  timestamp NOT NULL,
    archived_at timestamp,
    series_id   text      NOT NULL,
    edition     integer   NOT NULL,
    used_at     timestamp,
    document    text      NOT NULL,
    CONSTRAINT price_books_pk PRIMARY KEY (id),
    CONSTRAINT price_books_in_club UNIQUE (club_id, id),
    CONSTRAINT price_books_club FOREIGN KEY (club_id) REFERENCES clubs (id),
    CONSTRAINT price_books_edition_taken UNIQUE (club_id, series_id, edition),
    CONSTRAINT price_books_version CHECK (version >= 1),
    CONSTRAINT price_books_edition CHECK (edition >= 1)
);

-- +goose StatementBegin
CREATE TRIGGER price_books_used_is_kept BEFORE UPDATE ON price_books FOR EACH ROW
    WHEN OLD.used_at IS NOT NULL AND (NEW.document <> OLD.document OR NEW.used_at IS NOT OLD.used_at)
BEGIN
    SELECT RAISE(ABORT, 'price_books_used_is_kept');
END;
-- +goose StatementEnd

-- +goose Down
DROP TABLE price_books;
