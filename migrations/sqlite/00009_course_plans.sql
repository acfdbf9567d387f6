-- +goose Up
-- A course plan is worked out by a worker in the background. The row holds how
-- that stands, and changes until it has ended; claim rises with each worker that
-- takes it, and only the last may write. claimable_at is from when a worker may
-- take it: at once, after a wait, or when the lease of the one that has it ends.
CREATE TABLE course_plans (
    id                text      NOT NULL,
    club_id           text      NOT NULL,
    version           integer   NOT NULL,
    created_at        timestamp NOT NULL,
    updated_at        timestamp NOT NULL,
    archived_at       timestamp,
    title             text      NOT NULL,
    case_format       integer   NOT NULL,
    case_sha256       text      NOT NULL,
    state             text      NOT NULL,
    started_at        timestamp,
    ended_at          timestamp,
    attempts          integer   NOT NULL,
    progress_document text,
    reason            text      NOT NULL,
    claim             integer   NOT NULL,
    claimable_at      timestamp,
    worker            text      NOT NULL,
    engine_version    text,
    result_sha256     text,
    CONSTRAINT course_plans_pk PRIMARY KEY (id),
    CONSTRAINT course_plans_in_club UNIQUE (club_id, id),
    CONSTRAINT course_plans_club FOREIGN KEY (club_id) REFERENCES clubs (id),
    CONSTRAINT course_plans_version CHECK (version >= 1),
    CONSTRAINT course_plans_case_sha256 CHECK (length(case_sha256) = 64),
    CONSTRAINT course_plans_result_sha256 CHECK (length(result_sha256) = 64),
    CONSTRAINT course_plans_state CHECK (state IN ('queued', 'running', 'done', 'stopped_early', 'failed', 'cancelled')),
    CONSTRAINT course_plans_attempts CHECK (attempts BETWEEN 0 AND claim),
    CONSTRAINT course_plans_open CHECK ((state IN ('queued', 'running')) = (claimable_at IS NOT NULL)
        AND (claimable_at IS NULL) = (ended_at IS NOT NULL)),
    CONSTRAINT course_plans_result CHECK ((state IN ('done', 'stopped_early')) = (result_sha256 IS NOT NULL)
        AND (result_sha256 IS NULL) = (engine_version IS NULL))
);
CREATE INDEX course_plans_due ON course_plans (id) WHERE claimable_at IS NOT NULL;

-- Its two documents, each written once: the resolved case and the result.
CREATE TABLE course_plan_documents (
    club_id  text NOT NULL,
    plan_id  text NOT NULL,
    part     text NOT NULL,
    document text NOT NULL,
    CONSTRAINT course_plan_documents_pk PRIMARY KEY (plan_id, part),
    CONSTRAINT course_plan_documents_plan FOREIGN KEY (club_id, plan_id) REFERENCES course_plans (club_id, id),
    CONSTRAINT course_plan_documents_part CHECK (part IN ('case', 'result'))
);

-- What a plan was asked from never changes, and one that has ended can only be
-- archived and restored.
-- +goose StatementBegin
CREATE TRIGGER course_plans_are_kept BEFORE UPDATE ON course_plans FOR EACH ROW
    WHEN OLD.id IS NOT NEW.id OR OLD.club_id IS NOT NEW.club_id OR OLD.created_at IS NOT NEW.created_at OR OLD.title IS NOT NEW.title
        OR OLD.case_format IS NOT NEW.case_format OR OLD.case_sha256 IS NOT NEW.case_sha256 OR OLD.claim > NEW.claim
        OR OLD.ended_at IS NOT NULL AND (
            OLD.state IS NOT NEW.state OR OLD.started_at IS NOT NEW.started_at OR OLD.ended_at IS NOT NEW.ended_at
            OR OLD.attempts IS NOT NEW.attempts OR OLD.progress_document IS NOT NEW.progress_document OR OLD.reason IS NOT NEW.reason
            OR OLD.claim IS NOT NEW.claim OR OLD.claimable_at IS NOT NEW.claimable_at OR OLD.worker IS NOT NEW.worker
            OR OLD.engine_version IS NOT NEW.engine_version OR OLD.result_sha256 IS NOT NEW.result_sha256)
BEGIN
    SELECT RAISE(ABORT, 'course_plans_are_kept');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER course_plans_are_not_deleted BEFORE DELETE ON course_plans FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'course_plans_are_kept');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER course_plan_documents_are_kept BEFORE UPDATE ON course_plan_documents FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'course_plans_are_kept');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER course_plan_documents_are_not_deleted BEFORE DELETE ON course_plan_documents FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'course_plans_are_kept');
END;
-- +goose StatementEnd

-- Which actions the trail tells of is the program's to say. A constraint cannot be
-- changed in place, so that the table is written anew; its numbers go on from
-- where they were.
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
    CONSTRAINT audit_entries_action CHECK (length(action) BETWEEN 1 AND 40 AND action NOT GLOB '*[^a-z_]*'),
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
    CONSTRAINT audit_entries_action CHECK (action IN ('create', 'replace', 'archive', 'restore', 'use', 'revoke')),
    CONSTRAINT audit_entries_noun CHECK (length(noun) BETWEEN 1 AND 40 AND noun NOT GLOB '*[^a-z_]*')
);
INSERT INTO audit_entries SELECT * FROM old_audit_entries WHERE action IN ('create', 'replace', 'archive', 'restore', 'use', 'revoke');
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
DROP TABLE course_plan_documents;
DROP TABLE course_plans;
