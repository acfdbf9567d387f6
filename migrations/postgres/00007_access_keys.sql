-- +goose Up
-- Who may ask for what. Of every secret only the SHA-256 is kept. A key belongs
-- to one club; an operator's, which makes clubs and their keys, to none.
CREATE TABLE access_keys (
    id            uuid        NOT NULL,
    club_id       uuid,
    created_at    timestamptz NOT NULL,
    label         text        NOT NULL,
    role          text        NOT NULL,
    secret_sha256 text        NOT NULL,
    expires_at    timestamptz,
    revoked_at    timestamptz,
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
    id            uuid        NOT NULL,
    club_id       uuid,
    created_at    timestamptz NOT NULL,
    key_id        uuid        NOT NULL,
    secret_sha256 text        NOT NULL,
    expires_at    timestamptz NOT NULL,
    CONSTRAINT sessions_pk PRIMARY KEY (id),
    CONSTRAINT sessions_secret_taken UNIQUE (secret_sha256),
    CONSTRAINT sessions_key FOREIGN KEY (key_id) REFERENCES access_keys (id),
    CONSTRAINT sessions_secret_sha256 CHECK (length(secret_sha256) = 64)
);
CREATE INDEX sessions_by_end ON sessions (club_id, expires_at);

-- Nothing has ever written share links: the table is made anew, with a label.
DROP TABLE share_links;
CREATE TABLE share_links (
    id            uuid        NOT NULL,
    club_id       uuid        NOT NULL,
    created_at    timestamptz NOT NULL,
    appraisal_id  uuid        NOT NULL,
    label         text        NOT NULL,
    secret_sha256 text        NOT NULL,
    expires_at    timestamptz NOT NULL,
    revoked_at    timestamptz,
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
CREATE FUNCTION access_is_kept() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'a key or a share link cannot change, only be revoked once'
        USING ERRCODE = 'check_violation', CONSTRAINT = TG_TABLE_NAME || '_are_kept', TABLE = TG_TABLE_NAME;
END
$$;
-- +goose StatementEnd
CREATE TRIGGER access_keys_are_kept BEFORE UPDATE ON access_keys FOR EACH ROW
    WHEN (OLD.revoked_at IS NOT NULL OR
          (OLD.id, OLD.club_id, OLD.created_at, OLD.label, OLD.role, OLD.secret_sha256, OLD.expires_at) IS DISTINCT FROM
          (NEW.id, NEW.club_id, NEW.created_at, NEW.label, NEW.role, NEW.secret_sha256, NEW.expires_at))
    EXECUTE FUNCTION access_is_kept();
CREATE TRIGGER access_keys_are_not_deleted BEFORE DELETE ON access_keys FOR EACH ROW
    EXECUTE FUNCTION access_is_kept();
CREATE TRIGGER share_links_are_kept BEFORE UPDATE ON share_links FOR EACH ROW
    WHEN (OLD.revoked_at IS NOT NULL OR
          (OLD.id, OLD.club_id, OLD.created_at, OLD.appraisal_id, OLD.label, OLD.secret_sha256, OLD.expires_at) IS DISTINCT FROM
          (NEW.id, NEW.club_id, NEW.created_at, NEW.appraisal_id, NEW.label, NEW.secret_sha256, NEW.expires_at))
    EXECUTE FUNCTION access_is_kept();
CREATE TRIGGER share_links_are_not_deleted BEFORE DELETE ON share_links FOR EACH ROW
    EXECUTE FUNCTION access_is_kept();

-- The trail tells of revoking too. Which nouns there are is the program's to
-- say: a new one needs no new table.
ALTER TABLE audit_entries DROP CONSTRAINT audit_entries_action;
ALTER TABLE audit_entries ADD CONSTRAINT audit_entries_action CHECK (action IN ('create', 'replace', 'archive', 'restore', 'use', 'revoke'));
ALTER TABLE audit_entries DROP CONSTRAINT audit_entries_noun;
ALTER TABLE audit_entries ADD CONSTRAINT audit_entries_noun CHECK (noun ~ '^[a-z_]{1,40}$');

-- +goose Down
ALTER TABLE audit_entries DISABLE TRIGGER audit_entries_are_kept;
DELETE FROM audit_entries WHERE action = 'revoke' OR noun NOT IN ('club', 'green', 'survey', 'price_book', 'appraisal', 'share_link');
ALTER TABLE audit_entries ENABLE TRIGGER audit_entries_are_kept;
ALTER TABLE audit_entries DROP CONSTRAINT audit_entries_action;
ALTER TABLE audit_entries ADD CONSTRAINT audit_entries_action CHECK (action IN ('create', 'replace', 'archive', 'restore', 'use'));
ALTER TABLE audit_entries DROP CONSTRAINT audit_entries_noun;
ALTER TABLE audit_entries ADD CONSTRAINT audit_entries_noun CHECK (noun IN ('club', 'green', 'survey', 'price_book', 'appraisal', 'share_link'));
DROP TABLE share_links;
CREATE TABLE share_links (
    id            uuid        NOT NULL,
    club_id       uuid        NOT NULL,
    created_at    timestamptz NOT NULL,
    appraisal_id  uuid        NOT NULL,
    secret_sha256 text        NOT NULL,
    expires_at    timestamptz NOT NULL,
    revoked_at    timestamptz,
    CONSTRAINT share_links_pk PRIMARY KEY (id),
    CONSTRAINT share_links_secret_taken UNIQUE (secret_sha256),
    CONSTRAINT share_links_appraisal FOREIGN KEY (club_id, appraisal_id) REFERENCES appraisals (club_id, id),
    CONSTRAINT share_links_secret_sha256 CHECK (length(secret_sha256) = 64)
);
DROP TABLE sessions;
DROP TABLE access_keys;
DROP FUNCTION access_is_kept();
