-- +goose Up
-- Who may ask for what. Of every secret only the SHA-256 is kept. A key belongs
-- to one club; an operator's, which makes clubs and their keys, to none.
CREATE TABLE access_keys (
    id            text      NOT NULL,
    club_id       text,
    created_at    timestamp NOT NULL,
    label         text      NOT NULL,
    role          text      NOT NULL,
    secret_sha256 text      NOT NULL,
    expires_at    timestamp,
    revoked_at    timestamp,
    CONSTRAINT access_keys_pk PRIMARY KEY (id),
    CONSTRAINT access_keys_secret_taken UNIQUE (secret_sha256),
    CONSTRAINT access_keys_club FOREIGN KEY (club_id) REFERENCES clubs (id),
    CONSTRAINT access_keys_role CHECK (role IN ('viewer', 'editor', 'owner', 'operator')),
    CONSTRAINT access_keys_operator CHECK ((role = 'operator') = (club_id IS NULL)),
    CONSTRAINT access_keys_label CHECK (length(label) BETWEEN 1 AND 60),
    CONSTRAINT access_keys_secret_sha256 CHECK (length(secret_sha256) = 64)
);
CREATE INDEX access_keys_by_club ON access_keys (club_id, id);

-- Somebody who has signed in with a key, until the session or the key ends.
CREATE TABLE sessions (
    id            text      NOT NULL,
    club_id       text,
    created_at    timestamp NOT NULL,
    key_id        text      NOT NULL,
    secret_sha256 text      NOT NULL,
    expires_at    timestamp NOT NULL,
    CONSTRAINT sessions_pk PRIMARY KEY (id),
    CONSTRAINT sessions_secret_taken UNIQUE (secret_sha256),
    CONSTRAINT sessions_key FOREIGN KEY (key_id) REFERENCES access_keys (id),
    CONSTRAINT sessions_secret_sha256 CHECK (length(secret_sha256) = 64)
);
CREATE INDEX sessions_by_end ON sessions (club_id, expires_at);

-- Nothing has ever written share links: the table is made anew, with a label.
DROP TABLE share_links;
CREATE TABLE share_links (
    id            text      NOT NULL,
    club_id       text      NOT NULL,
    created_at    timestamp NOT NULL,
    appraisal_id  text      NOT NULL,
    label         text      NOT NULL,
    secret_sha256 text      NOT NULL,
    expires_at    timestamp NOT NULL,
    revoked_at    timestamp,
    CONSTRAINT share_links_pk PRIMARY KEY (id),
    CONSTRAINT share_links_secret_taken UNIQUE (secret_sha256),
    CONSTRAINT share_links_appraisal FOREIGN KEY (club_id, appraisal_id) REFERENCES appraisals (club_id, id),
    CONSTRAINT share_links_label CHECK (length(label) <= 60),
    CONSTRAINT share_links_secret_sha256 CHECK (length(secret_sha256) = 64)
);
CREATE INDEX share_links_by_appraisal ON share_links (club_id, appraisal_id, id);

-- A key or a link can be revoked, once and for all; nothing else of it changes,
-- and nothing of it is deleted.
-- +goose StatementBegin
CREATE TRIGGER access_keys_are_kept BEFORE UPDATE ON access_keys FOR EACH ROW
    WHEN OLD.revoked_at IS NOT NULL OR OLD.id IS NOT NEW.id OR OLD.club_id IS NOT NEW.club_id OR OLD.created_at IS NOT NEW.created_at
        OR OLD.label IS NOT NEW.label OR OLD.role IS NOT NEW.role OR OLD.secret_sha256 IS NOT NEW.secret_sha256 OR OLD.expires_at IS NOT NEW.expires_at
BEGIN
    SELECT RAISE(ABORT, 'access_keys_are_kept');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER access_keys_are_not_deleted BEFORE DELETE ON access_keys FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'access_keys_are_kept');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER share_links_are_kept BEFORE UPDATE ON share_links FOR EACH ROW
    WHEN OLD.revoked_at IS NOT NULL OR OLD.id IS NOT NEW.id OR OLD.club_id IS NOT NEW.club_id OR OLD.created_at IS NOT NEW.created_at
        OR OLD.appraisal_id IS NOT NEW.appraisal_id OR OLD.label IS NOT NEW.label OR OLD.secret_sha256 IS NOT NEW.secret_sha256 OR OLD.expires_at IS NOT NEW.expires_at
BEGIN
    SELECT RAISE(ABORT, 'share_links_are_kept');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER share_links_are_not_deleted BEFORE DELETE ON share_links FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'share_links_are_kept');
END;
-- +goose StatementEnd

-- The trail tells of revoking too. Which nouns there are is the program's to
-- say: a new one needs no new table. A constraint cannot be changed in place, so
-- that the table is written anew; its numbers go on from where they were.
DROP TRIGGER audit_entries_are_kept;
DROP TRIGGER audit_entries_are_not_deleted;
DROP INDEX audit_entries_by_club;
ALTER TABLE audit_entries RENAME TO old_audit_entries;
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
    CONSTRAINT audit_entries_action CHECK (action IN ('create', 'replace', 'archive', 'restore', 'use', 'revoke')),
    CONSTRAINT audit_entries_noun CHECK (length(noun) BETWEEN 1 AND 40 AND noun NOT GLOB '*[^a-z_]*')
);
INSERT INTO audit_entries SELECT * FROM old_audit_entries;
DROP TABLE old_audit_entries;
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
DROP TRIGGER audit_entries_are_kept;
DROP TRIGGER audit_entries_are_not_deleted;
DROP INDEX audit_entries_by_club;
ALTER TABLE audit_entries RENAME TO old_audit_entries;
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
INSERT INTO audit_entries SELECT * FROM old_audit_entries
    WHERE action <> 'revoke' AND noun IN ('club', 'green', 'survey', 'price_book', 'appraisal', 'share_link');
DROP TABLE old_audit_entries;
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
DROP TABLE share_links;
CREATE TABLE share_links (
    id            text      NOT NULL,
    club_id       text      NOT NULL,
    created_at    timestamp NOT NULL,
    appraisal_id  text      NOT NULL,
    secret_sha256 text      NOT NULL,
    expires_at    timestamp NOT NULL,
    revoked_at    timestamp,
    CONSTRAINT share_links_pk PRIMARY KEY (id),
    CONSTRAINT share_links_secret_taken UNIQUE (secret_sha256),
    CONSTRAINT share_links_appraisal FOREIGN KEY (club_id, appraisal_id) REFERENCES appraisals (club_id, id),
    CONSTRAINT share_links_secret_sha256 CHECK (length(secret_sha256) = 64)
);
DROP TABLE sessions;
DROP TABLE access_keys;
