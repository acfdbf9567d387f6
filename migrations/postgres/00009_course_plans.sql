-- +goose Up
-- A course plan is worked out by a worker in the background. The row holds how
-- that stands, and changes until it has ended; claim rises with each worker that
-- takes it, and only the last may write. claimable_at is from when a worker may
-- take it: at once, after a wait, or when the lease of the one that has it ends.
CREATE TABLE course_plans (
    id                uuid        NOT NULL,
    club_id           uuid        NOT NULL,
    version           bigint      NOT NULL,
    created_at        timestamptz NOT NULL,
    updated_at        timestamptz NOT NULL,
    archived_at       timestamptz,
    title             text        NOT NULL,
    case_format       bigint      NOT NULL,
    case_sha256       text        NOT NULL,
    state             text        NOT NULL,
    started_at        timestamptz,
    ended_at          timestamptz,
    attempts          bigint      NOT NULL,
    progress_document json,
    reason            text        NOT NULL,
    claim             bigint      NOT NULL,
    claimable_at      timestamptz,
    worker            text        NOT NULL,
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

-- Its two documents, each written once: the resolved case and the result. They are
-- json and not jsonb, which would not give back what was stored.
CREATE TABLE course_plan_documents (
    club_id  uuid NOT NULL,
    plan_id  uuid NOT NULL,
    part     text NOT NULL,
    document json NOT NULL,
    CONSTRAINT course_plan_documents_pk PRIMARY KEY (plan_id, part),
    CONSTRAINT course_plan_documents_plan FOREIGN KEY (club_id, plan_id) REFERENCES course_plans (club_id, id),
    CONSTRAINT course_plan_documents_part CHECK (part IN ('case', 'result'))
);

-- What a plan was asked from never changes, and one that has ended can only be
-- archived and restored.
-- +goose StatementBegin
CREATE FUNCTION course_plans_are_kept() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'a course plan that has ended cannot change, only be archived and restored'
        USING ERRCODE = 'check_violation', CONSTRAINT = 'course_plans_are_kept', TABLE = TG_TABLE_NAME;
END
$$;
-- +goose StatementEnd
CREATE TRIGGER course_plans_are_kept BEFORE UPDATE ON course_plans FOR EACH ROW
    WHEN ((OLD.id, OLD.club_id, OLD.created_at, OLD.title, OLD.case_format, OLD.case_sha256) IS DISTINCT FROM
          (NEW.id, NEW.club_id, NEW.created_at, NEW.title, NEW.case_format, NEW.case_sha256)
          OR OLD.claim > NEW.claim
          OR OLD.ended_at IS NOT NULL AND
          (OLD.state, OLD.started_at, OLD.ended_at, OLD.attempts, OLD.progress_document::text, OLD.reason, OLD.claim, OLD.claimable_at,
           OLD.worker, OLD.engine_version, OLD.result_sha256) IS DISTINCT FROM
          (NEW.state, NEW.started_at, NEW.ended_at, NEW.attempts, NEW.progress_document::text, NEW.reason, NEW.claim, NEW.claimable_at,
           NEW.worker, NEW.engine_version, NEW.result_sha256))
    EXECUTE FUNCTION course_plans_are_kept();
CREATE TRIGGER course_plans_are_not_deleted BEFORE DELETE ON course_plans FOR EACH ROW
    EXECUTE FUNCTION course_plans_are_kept();
CREATE TRIGGER course_plan_documents_are_kept BEFORE UPDATE OR DELETE ON course_plan_documents FOR EACH ROW
    EXECUTE FUNCTION course_plans_are_kept();

-- course_plans is not forced on its owner: a worker finds what waits, in whichever
-- club, by functions that run as the owner and tell no more than where it is and
-- how much there is. All else is done in a transaction of that club.
ALTER TABLE course_plans ENABLE ROW LEVEL SECURITY;
CREATE POLICY course_plans_of_club ON course_plans USING (club_id = swardcase_club());
ALTER TABLE course_plan_documents ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY course_plan_documents_of_club ON course_plan_documents USING (club_id = swardcase_club());
-- +goose StatementBegin
CREATE FUNCTION swardcase_due_job(due timestamptz, past bigint, OUT job_club uuid, OUT job uuid) RETURNS SETOF record LANGUAGE sql STABLE
SECURITY DEFINER SET search_path = pg_catalog, public, pg_temp
AS $$ SELECT club_id, id FROM public.course_plans WHERE claimable_at <= due ORDER BY id LIMIT 1 OFFSET past $$;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE FUNCTION swardcase_job_depth(OUT queued bigint, OUT running bigint, OUT oldest_s bigint) RETURNS record LANGUAGE sql STABLE
SECURITY DEFINER SET search_path = pg_catalog, public, pg_temp
AS $$ SELECT count(*) FILTER (WHERE state = 'queued'), count(*) FILTER (WHERE state = 'running'),
    CAST(extract(epoch FROM min(created_at) FILTER (WHERE state = 'queued')) AS bigint) FROM public.course_plans WHERE claimable_at IS NOT NULL $$;
-- +goose StatementEnd
REVOKE ALL ON FUNCTION swardcase_due_job(timestamptz, bigint), swardcase_job_depth() FROM PUBLIC;

-- Which actions the trail tells of is the program's to say.
ALTER TABLE audit_entries DROP CONSTRAINT audit_entries_action;
ALTER TABLE audit_entries ADD CONSTRAINT audit_entries_action CHECK (action ~ '^[a-z_]{1,40}$');

-- +goose Down
ALTER TABLE audit_entries DISABLE TRIGGER audit_entries_are_kept;
DELETE FROM audit_entries WHERE action NOT IN ('create', 'replace', 'archive', 'restore', 'use', 'revoke');
ALTER TABLE audit_entries ENABLE TRIGGER audit_entries_are_kept;
ALTER TABLE audit_entries DROP CONSTRAINT audit_entries_action;
ALTER TABLE audit_entries ADD CONSTRAINT audit_entries_action CHECK (action IN ('create', 'replace', 'archive', 'restore', 'use', 'revoke'));
DROP FUNCTION swardcase_job_depth();
DROP FUNCTION swardcase_due_job(timestamptz, bigint);
DROP TABLE course_plan_documents;
DROP TABLE course_plans;
DROP FUNCTION course_plans_are_kept();
