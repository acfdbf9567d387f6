-- What the migrations come to, for readers. Nothing runs this: change the tables by a
-- new migration, then write this anew with go test ./api/store -run Schemas -update.

CREATE TRIGGER access_keys_are_kept BEFORE UPDATE ON access_keys FOR EACH ROW
    WHEN OLD.revoked_at IS NOT NULL OR OLD.id IS NOT NEW.id OR OLD.club_id IS NOT NEW.club_id OR OLD.created_at IS NOT NEW.created_at
        OR OLD.label IS NOT NEW.label OR OLD.role IS NOT NEW.role OR OLD.secret_sha256 IS NOT NEW.secret_sha256 OR OLD.expires_at IS NOT NEW.expires_at
BEGIN
    SELECT RAISE(ABORT, 'access_keys_are_kept');
END;

CREATE TRIGGER access_keys_are_not_deleted BEFORE DELETE ON access_keys FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'access_keys_are_kept');
END;

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

CREATE TRIGGER appraisals_are_kept BEFORE UPDATE OF id, club_id, created_at, green_id, survey_id, price_book_id, reappraises_id,
    title, case_format, engine_version, seed, case_sha256, result_sha256, index_score, grade, advice, advised_option, headline,
    currency, capital, approve_capital, net_present_value, case_document, result_document ON appraisals FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'appraisals_are_kept');
END;

CREATE TRIGGER appraisals_are_not_deleted BEFORE DELETE ON appraisals FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'appraisals_are_kept');
END;

CREATE TABLE appraisals (
    id                text      NOT NULL,
    club_id           text      NOT NULL,
    version           integer   NOT NULL,
    created_at        timestamp NOT NULL,
    updated_at        timestamp NOT NULL,
    archived_at       timestamp,
    green_id          text      NOT NULL,
    survey_id         text      NOT NULL,
    price_book_id     text,
    reappraises_id    text,
    title             text      NOT NULL,
    case_format       integer   NOT NULL,
    engine_version    text      NOT NULL,
    case_sha256       text      NOT NULL,
    result_sha256     text      NOT NULL,
    index_score       real      NOT NULL,
    grade             text      NOT NULL,
    advice            text      NOT NULL,
    advised_option    text      NOT NULL,
    headline          text      NOT NULL,
    currency          text      NOT NULL,
    capital           text      NOT NULL,
    approve_capital   text      NOT NULL,
    net_present_value text      NOT NULL,
    case_document     text      NOT NULL,
    result_document   text      NOT NULL, seed integer NOT NULL DEFAULT 0 CONSTRAINT appraisals_seed CHECK (seed >= 0),
    CONSTRAINT appraisals_pk PRIMARY KEY (id),
    CONSTRAINT appraisals_in_club UNIQUE (club_id, id),
    CONSTRAINT appraisals_green FOREIGN KEY (club_id, green_id) REFERENCES greens (club_id, id),
    CONSTRAINT appraisals_survey FOREIGN KEY (club_id, survey_id) REFERENCES surveys (club_id, id),
    CONSTRAINT appraisals_price_book FOREIGN KEY (club_id, price_book_id) REFERENCES price_books (club_id, id),
    CONSTRAINT appraisals_reappraises FOREIGN KEY (club_id, reappraises_id) REFERENCES appraisals (club_id, id),
    CONSTRAINT appraisals_version CHECK (version >= 1),
    CONSTRAINT appraisals_currency CHECK (length(currency) = 3),
    CONSTRAINT appraisals_capital CHECK (typeof(capital) = 'text' AND capital <> 'NaN'),
    CONSTRAINT appraisals_approve_capital CHECK (typeof(approve_capital) = 'text' AND approve_capital <> 'NaN'),
    CONSTRAINT appraisals_net_present_value CHECK (typeof(net_present_value) = 'text' AND net_present_value <> 'NaN'),
    CONSTRAINT appraisals_case_sha256 CHECK (length(case_sha256) = 64),
    CONSTRAINT appraisals_result_sha256 CHECK (length(result_sha256) = 64)
);

CREATE INDEX appraisals_by_green ON appraisals (green_id, id);

CREATE TRIGGER audit_entries_are_kept BEFORE UPDATE ON audit_entries FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'audit_entries_are_kept');
END;

CREATE TRIGGER audit_entries_are_not_deleted BEFORE DELETE ON audit_entries FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'audit_entries_are_kept');
END;

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

CREATE INDEX audit_entries_by_club ON audit_entries (club_id, number);

CREATE TABLE clubs (
    id          text      NOT NULL,
    club_id     text      NOT NULL, -- equal to id, so that every table can be kept apart by club in one way
    version     integer   NOT NULL,
    created_at  timestamp NOT NULL,
    updated_at  timestamp NOT NULL,
    archived_at timestamp,
    name        text      NOT NULL,
    document    text      NOT NULL,
    CONSTRAINT clubs_pk PRIMARY KEY (id),
    CONSTRAINT clubs_own_club CHECK (club_id = id),
    CONSTRAINT clubs_version CHECK (version >= 1),
    CONSTRAINT clubs_name CHECK (length(name) BETWEEN 1 AND 120)
);

CREATE TRIGGER course_plan_documents_are_kept BEFORE UPDATE ON course_plan_documents FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'course_plans_are_kept');
END;

CREATE TRIGGER course_plan_documents_are_not_deleted BEFORE DELETE ON course_plan_documents FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'course_plans_are_kept');
END;

CREATE TABLE course_plan_documents (
    club_id  text NOT NULL,
    plan_id  text NOT NULL,
    part     text NOT NULL,
    document text NOT NULL,
    CONSTRAINT course_plan_documents_pk PRIMARY KEY (plan_id, part),
    CONSTRAINT course_plan_documents_plan FOREIGN KEY (club_id, plan_id) REFERENCES course_plans (club_id, id),
    CONSTRAINT course_plan_documents_part CHECK (part IN ('case', 'result'))
);

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

CREATE TRIGGER course_plans_are_not_deleted BEFORE DELETE ON course_plans FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'course_plans_are_kept');
END;

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

CREATE TABLE greens (
    id          text      NOT NULL,
    club_id     text      NOT NULL,
    version     integer   NOT NULL,
    created_at  timestamp NOT NULL,
    updated_at  timestamp NOT NULL,
    archived_at timestamp,
    name        text      NOT NULL,
    document    text      NOT NULL,
    CONSTRAINT greens_pk PRIMARY KEY (id),
    CONSTRAINT greens_in_club UNIQUE (club_id, id), -- what surveys and appraisals refer to
    CONSTRAINT greens_club FOREIGN KEY (club_id) REFERENCES clubs (id),
    CONSTRAINT greens_version CHECK (version >= 1),
    CONSTRAINT greens_name CHECK (length(name) BETWEEN 1 AND 120)
);

CREATE UNIQUE INDEX greens_name_taken ON greens (club_id, name) WHERE archived_at IS NULL;

CREATE TABLE idempotency_keys (
    who          text      NOT NULL,
    route        text      NOT NULL,
    key          text      NOT NULL,
    club_id      text,
    claim        text      NOT NULL,
    body_sha256  text      NOT NULL,
    claimed_at   timestamp NOT NULL,
    leased_until timestamp NOT NULL,
    kept_until   timestamp NOT NULL,
    answer       text,
    CONSTRAINT idempotency_keys_pk PRIMARY KEY (who, route, key),
    CONSTRAINT idempotency_keys_body_sha256 CHECK (length(body_sha256) = 64)
);

CREATE INDEX idempotency_keys_by_end ON idempotency_keys (kept_until);

CREATE TRIGGER price_books_used_is_kept BEFORE UPDATE ON price_books FOR EACH ROW
    WHEN OLD.used_at IS NOT NULL AND (NEW.document <> OLD.document OR NEW.used_at IS NOT OLD.used_at)
BEGIN
    SELECT RAISE(ABORT, 'price_books_used_is_kept');
END;

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

CREATE TRIGGER share_links_are_kept BEFORE UPDATE ON share_links FOR EACH ROW
    WHEN OLD.revoked_at IS NOT NULL OR OLD.id IS NOT NEW.id OR OLD.club_id IS NOT NEW.club_id OR OLD.created_at IS NOT NEW.created_at
        OR OLD.appraisal_id IS NOT NEW.appraisal_id OR OLD.label IS NOT NEW.label OR OLD.secret_sha256 IS NOT NEW.secret_sha256 OR OLD.expires_at IS NOT NEW.expires_at
BEGIN
    SELECT RAISE(ABORT, 'share_links_are_kept');
END;

CREATE TRIGGER share_links_are_not_deleted BEFORE DELETE ON share_links FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'share_links_are_kept');
END;

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

CREATE TABLE surveys (
    id          text      NOT NULL,
    club_id     text      NOT NULL,
    version     integer   NOT NULL,
    created_at  timestamp NOT NULL,
    updated_at  timestamp NOT NULL,
    archived_at timestamp,
    green_id    text      NOT NULL,
    surveyed_on text      NOT NULL, -- YYYY-MM-DD
    document    text      NOT NULL,
    CONSTRAINT surveys_pk PRIMARY KEY (id),
    CONSTRAINT surveys_in_club UNIQUE (club_id, id),
    CONSTRAINT surveys_green FOREIGN KEY (club_id, green_id) REFERENCES greens (club_id, id),
    CONSTRAINT surveys_version CHECK (version >= 1),
    CONSTRAINT surveys_day CHECK (surveyed_on IS date(surveyed_on))
);

CREATE UNIQUE INDEX surveys_day_taken ON surveys (green_id, surveyed_on) WHERE archived_at IS NULL;
