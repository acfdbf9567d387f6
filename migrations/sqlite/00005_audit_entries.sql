-- +goose Up
-- Who did what to what, when, with the thing as it stood before and after. Rows
-- are only ever added. The number, not the clock, gives the order.
CREATE TABLE audit_entries (
    number          integer   NOT NULL CONSTRAINT audit_entries_pk PRIMARY KEY AUTOINCREMENT,
    club_id         text      NOT NULL,
    at              timestamp NOT NULL,
    who             text      NOT NULL,
    action          text      NOT NULL,
    noun            text      NOT NULL,
    noun_id         text      NOT NULL,
    before_document text,
    after_document  text      NOT NULL,
    CONSTRAINT audit_entries_club FOREIGN KEY (club_id) REFERENCES clubs (id),
    CONSTRAINT audit_entries_action CHECK (action IN ('create', 'replace', 'archive', 'restore', 'use')),
    CONSTRAINT audit_entries_noun CHECK (noun IN ('club', 'green', 'survey', 'price_book', 'appraisal', 'share_link'))
);
CREATE INDEX audit_entries_by_club ON audit_entries (club_id, number);

-- +goose StatementBegin
CREATE TRIGGER audit_entries_are_kept BEFORE UPDATE ON audit_entries FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'audit_entries_are_kept');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER audit_entries_are_not_deleted BEFORE DELETE ON audit_entries FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'audit_entries_are_kept');
END;
-- +goose StatementEnd

-- +goose Down
DROP TABLE audit_entries;
