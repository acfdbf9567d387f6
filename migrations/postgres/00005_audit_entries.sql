-- +goose Up
-- Who did what to what, when, with the thing as it stood before and after. Rows
-- are only ever added. The number, not the clock, gives the order.
CREATE TABLE audit_entries (
    number          bigint      NOT NULL GENERATED ALWAYS AS IDENTITY,
    club_id         uuid        NOT NULL,
    at              timestamptz NOT NULL,
    who             text        NOT NULL,
    action          text        NOT NULL,
    noun            text        NOT NULL,
    noun_id         uuid        NOT NULL,
    before_document json,
    after_document  json        NOT NULL,
    CONSTRAINT audit_entries_pk PRIMARY KEY (number),
    CONSTRAINT audit_entries_club FOREIGN KEY (club_id) REFERENCES clubs (id),
    CONSTRAINT audit_entries_action CHECK (action IN ('create', 'replace', 'archive', 'restore', 'use')),
    CONSTRAINT audit_entries_noun CHECK (noun IN ('club', 'green', 'survey', 'price_book', 'appraisal', 'share_link'))
);
CREATE INDEX audit_entries_by_club ON audit_entries (club_id, number);

-- +goose StatementBegin
CREATE FUNCTION audit_entries_are_kept() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'entries of the audit trail are only added'
        USING ERRCODE = 'check_violation', CONSTRAINT = 'audit_entries_are_kept', TABLE = 'audit_entries';
END
$$;
-- +goose StatementEnd
CREATE TRIGGER audit_entries_are_kept BEFORE UPDATE OR DELETE ON audit_entries FOR EACH ROW
    EXECUTE FUNCTION audit_entries_are_kept();

-- +goose Down
DROP TABLE audit_entries;
DROP FUNCTION audit_entries_are_kept();
