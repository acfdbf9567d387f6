-- What the migrations come to, for readers. Nothing runs this: change the tables by a
-- new migration, then write this anew with go test ./api/store -run Schemas -update.

CREATE TABLE access_keys (
    id uuid NOT NULL,
    club_id uuid,
    created_at timestamp with time zone NOT NULL,
    label text NOT NULL,
    role text NOT NULL,
    secret_sha256 text NOT NULL,
    expires_at timestamp with time zone,
    revoked_at timestamp with time zone,
    CONSTRAINT access_keys_pk PRIMARY KEY (id),
    CONSTRAINT access_keys_secret_taken UNIQUE (secret_sha256),
    CONSTRAINT access_keys_club FOREIGN KEY (club_id) REFERENCES clubs(id),
    CONSTRAINT access_keys_label CHECK (((length(label) >= 1) AND (length(label) <= 60))),
    CONSTRAINT access_keys_operator CHECK (((role = 'operator'::text) = (club_id IS NULL))),
    CONSTRAINT access_keys_role CHECK ((role = ANY (ARRAY['viewer'::text, 'editor'::text, 'owner'::text, 'operator'::text]))),
    CONSTRAINT access_keys_secret_sha256 CHECK ((length(secret_sha256) = 64))
);
CREATE INDEX access_keys_by_club ON public.access_keys USING btree (club_id, id);
CREATE TRIGGER access_keys_are_kept BEFORE UPDATE ON public.access_keys FOR EACH ROW WHEN (((old.revoked_at IS NOT NULL) OR (((((((old.id IS DISTINCT FROM new.id) OR (old.club_id IS DISTINCT FROM new.club_id)) OR (old.created_at IS DISTINCT FROM new.created_at)) OR (old.label IS DISTINCT FROM new.label)) OR (old.role IS DISTINCT FROM new.role)) OR (old.secret_sha256 IS DISTINCT FROM new.secret_sha256)) OR (old.expires_at IS DISTINCT FROM new.expires_at)))) EXECUTE FUNCTION access_is_kept();
CREATE TRIGGER access_keys_are_not_deleted BEFORE DELETE ON public.access_keys FOR EACH ROW EXECUTE FUNCTION access_is_kept();
ALTER TABLE access_keys ENABLE ROW LEVEL SECURITY;
CREATE POLICY access_keys_listed ON access_keys FOR SELECT USING swardcase_every_club();
CREATE POLICY access_keys_of_club ON access_keys FOR ALL USING ((club_id = swardcase_club()) OR ((club_id IS NULL) AND swardcase_every_club()));

CREATE TABLE appraisals (
    id uuid NOT NULL,
    club_id uuid NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    updated_at timestamp with time zone NOT NULL,
    archived_at timestamp with time zone,
    green_id uuid NOT NULL,
    survey_id uuid NOT NULL,
    price_book_id uuid,
    reappraises_id uuid,
    title text NOT NULL,
    case_format bigint NOT NULL,
    engine_version text NOT NULL,
    case_sha256 text NOT NULL,
    result_sha256 text NOT NULL,
    index_score double precision NOT NULL,
    grade text NOT NULL,
    advice text NOT NULL,
    advised_option text NOT NULL,
    headline text NOT NULL,
    currency text NOT NULL,
    capital numeric(16,4) NOT NULL,
    approve_capital numeric(16,4) NOT NULL,
    net_present_value numeric(16,4) NOT NULL,
    case_document json NOT NULL,
    result_document json NOT NULL,
    seed bigint NOT NULL,
    CONSTRAINT appraisals_pk PRIMARY KEY (id),
    CONSTRAINT appraisals_in_club UNIQUE (club_id, id),
    CONSTRAINT appraisals_green FOREIGN KEY (club_id, green_id) REFERENCES greens(club_id, id),
    CONSTRAINT appraisals_price_book FOREIGN KEY (club_id, price_book_id) REFERENCES price_books(club_id, id),
    CONSTRAINT appraisals_reappraises FOREIGN KEY (club_id, reappraises_id) REFERENCES appraisals(club_id, id),
    CONSTRAINT appraisals_survey FOREIGN KEY (club_id, survey_id) REFERENCES surveys(club_id, id),
    CONSTRAINT appraisals_approve_capital CHECK ((approve_capital <> 'NaN'::numeric)),
    CONSTRAINT appraisals_capital CHECK ((capital <> 'NaN'::numeric)),
    CONSTRAINT appraisals_case_sha256 CHECK ((length(case_sha256) = 64)),
    CONSTRAINT appraisals_currency CHECK ((length(currency) = 3)),
    CONSTRAINT appraisals_net_present_value CHECK ((net_present_value <> 'NaN'::numeric)),
    CONSTRAINT appraisals_result_sha256 CHECK ((length(result_sha256) = 64)),
    CONSTRAINT appraisals_seed CHECK ((seed >= 0)),
    CONSTRAINT appraisals_version CHECK ((version >= 1))
);
CREATE INDEX appraisals_by_green ON public.appraisals USING btree (green_id, id);
CREATE TRIGGER appraisals_are_kept BEFORE UPDATE ON public.appraisals FOR EACH ROW WHEN (((((((((((((((((((((((((old.id IS DISTINCT FROM new.id) OR (old.club_id IS DISTINCT FROM new.club_id)) OR (old.created_at IS DISTINCT FROM new.created_at)) OR (old.green_id IS DISTINCT FROM new.green_id)) OR (old.survey_id IS DISTINCT FROM new.survey_id)) OR (old.price_book_id IS DISTINCT FROM new.price_book_id)) OR (old.reappraises_id IS DISTINCT FROM new.reappraises_id)) OR (old.title IS DISTINCT FROM new.title)) OR (old.case_format IS DISTINCT FROM new.case_format)) OR (old.engine_version IS DISTINCT FROM new.engine_version)) OR (old.seed IS DISTINCT FROM new.seed)) OR (old.case_sha256 IS DISTINCT FROM new.case_sha256)) OR (old.result_sha256 IS DISTINCT FROM new.result_sha256)) OR (old.index_score IS DISTINCT FROM new.index_score)) OR (old.grade IS DISTINCT FROM new.grade)) OR (old.advice IS DISTINCT FROM new.advice)) OR (old.advised_option IS DISTINCT FROM new.advised_option)) OR (old.headline IS DISTINCT FROM new.headline)) OR (old.currency IS DISTINCT FROM new.currency)) OR (old.capital IS DISTINCT FROM new.capital)) OR (old.approve_capital IS DISTINCT FROM new.approve_capital)) OR (old.net_present_value IS DISTINCT FROM new.net_present_value)) OR ((old.case_document)::text IS DISTINCT FROM (new.case_document)::text)) OR ((old.result_document)::text IS DISTINCT FROM (new.result_document)::text))) EXECUTE FUNCTION appraisals_are_kept();
CREATE TRIGGER appraisals_are_not_deleted BEFORE DELETE ON public.appraisals FOR EACH ROW EXECUTE FUNCTION appraisals_are_kept();
ALTER TABLE appraisals ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY appraisals_of_club ON appraisals FOR ALL USING (club_id = swardcase_club());

CREATE TABLE audit_entries (
    number bigint NOT NULL GENERATED ALWAYS AS IDENTITY,
    club_id uuid NOT NULL,
    at timestamp with time zone NOT NULL,
    who text NOT NULL,
    action text NOT NULL,
    noun text NOT NULL,
    noun_id uuid NOT NULL,
    before_document json,
    after_document json NOT NULL,
    CONSTRAINT audit_entries_pk PRIMARY KEY (number),
    CONSTRAINT audit_entries_club FOREIGN KEY (club_id) REFERENCES clubs(id),
    CONSTRAINT audit_entries_action CHECK ((action ~ '^[a-z_]{1,40}$'::text)),
    CONSTRAINT audit_entries_noun CHECK ((noun ~ '^[a-z_]{1,40}$'::text))
);
CREATE INDEX audit_entries_by_club ON public.audit_entries USING btree (club_id, number);
CREATE TRIGGER audit_entries_are_kept BEFORE DELETE OR UPDATE ON public.audit_entries FOR EACH ROW EXECUTE FUNCTION audit_entries_are_kept();
ALTER TABLE audit_entries ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY audit_entries_of_club ON audit_entries FOR ALL USING (club_id = swardcase_club());

CREATE TABLE clubs (
    id uuid NOT NULL,
    club_id uuid NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    updated_at timestamp with time zone NOT NULL,
    archived_at timestamp with time zone,
    name text NOT NULL,
    document json NOT NULL,
    CONSTRAINT clubs_pk PRIMARY KEY (id),
    CONSTRAINT clubs_name CHECK (((length(name) >= 1) AND (length(name) <= 120))),
    CONSTRAINT clubs_own_club CHECK ((club_id = id)),
    CONSTRAINT clubs_version CHECK ((version >= 1))
);
ALTER TABLE clubs ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY clubs_listed ON clubs FOR SELECT USING swardcase_every_club();
CREATE POLICY clubs_of_club ON clubs FOR ALL USING (club_id = swardcase_club());

CREATE TABLE course_plan_documents (
    club_id uuid NOT NULL,
    plan_id uuid NOT NULL,
    part text NOT NULL,
    document json NOT NULL,
    CONSTRAINT course_plan_documents_pk PRIMARY KEY (plan_id, part),
    CONSTRAINT course_plan_documents_plan FOREIGN KEY (club_id, plan_id) REFERENCES course_plans(club_id, id),
    CONSTRAINT course_plan_documents_part CHECK ((part = ANY (ARRAY['case'::text, 'result'::text])))
);
CREATE TRIGGER course_plan_documents_are_kept BEFORE DELETE OR UPDATE ON public.course_plan_documents FOR EACH ROW EXECUTE FUNCTION course_plans_are_kept();
ALTER TABLE course_plan_documents ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY course_plan_documents_of_club ON course_plan_documents FOR ALL USING (club_id = swardcase_club());

CREATE TABLE course_plans (
    id uuid NOT NULL,
    club_id uuid NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    updated_at timestamp with time zone NOT NULL,
    archived_at timestamp with time zone,
    title text NOT NULL,
    case_format bigint NOT NULL,
    case_sha256 text NOT NULL,
    state text NOT NULL,
    started_at timestamp with time zone,
    ended_at timestamp with time zone,
    attempts bigint NOT NULL,
    progress_document json,
    reason text NOT NULL,
    claim bigint NOT NULL,
    claimable_at timestamp with time zone,
    worker text NOT NULL,
    engine_version text,
    result_sha256 text,
    CONSTRAINT course_plans_pk PRIMARY KEY (id),
    CONSTRAINT course_plans_in_club UNIQUE (club_id, id),
    CONSTRAINT course_plans_club FOREIGN KEY (club_id) REFERENCES clubs(id),
    CONSTRAINT course_plans_attempts CHECK (((attempts >= 0) AND (attempts <= claim))),
    CONSTRAINT course_plans_case_sha256 CHECK ((length(case_sha256) = 64)),
    CONSTRAINT course_plans_open CHECK ((((state = ANY (ARRAY['queued'::text, 'running'::text])) = (claimable_at IS NOT NULL)) AND ((claimable_at IS NULL) = (ended_at IS NOT NULL)))),
    CONSTRAINT course_plans_result CHECK ((((state = ANY (ARRAY['done'::text, 'stopped_early'::text])) = (result_sha256 IS NOT NULL)) AND ((result_sha256 IS NULL) = (engine_version IS NULL)))),
    CONSTRAINT course_plans_result_sha256 CHECK ((length(result_sha256) = 64)),
    CONSTRAINT course_plans_state CHECK ((state = ANY (ARRAY['queued'::text, 'running'::text, 'done'::text, 'stopped_early'::text, 'failed'::text, 'cancelled'::text]))),
    CONSTRAINT course_plans_version CHECK ((version >= 1))
);
CREATE INDEX course_plans_due ON public.course_plans USING btree (id) WHERE (claimable_at IS NOT NULL);
CREATE TRIGGER course_plans_are_kept BEFORE UPDATE ON public.course_plans FOR EACH ROW WHEN ((((((((old.id IS DISTINCT FROM new.id) OR (old.club_id IS DISTINCT FROM new.club_id)) OR (old.created_at IS DISTINCT FROM new.created_at)) OR (old.title IS DISTINCT FROM new.title)) OR (old.case_format IS DISTINCT FROM new.case_format)) OR (old.case_sha256 IS DISTINCT FROM new.case_sha256)) OR (old.claim > new.claim) OR ((old.ended_at IS NOT NULL) AND (((((((((((old.state IS DISTINCT FROM new.state) OR (old.started_at IS DISTINCT FROM new.started_at)) OR (old.ended_at IS DISTINCT FROM new.ended_at)) OR (old.attempts IS DISTINCT FROM new.attempts)) OR ((old.progress_document)::text IS DISTINCT FROM (new.progress_document)::text)) OR (old.reason IS DISTINCT FROM new.reason)) OR (old.claim IS DISTINCT FROM new.claim)) OR (old.claimable_at IS DISTINCT FROM new.claimable_at)) OR (old.worker IS DISTINCT FROM new.worker)) OR (old.engine_version IS DISTINCT FROM new.engine_version)) OR (old.result_sha256 IS DISTINCT FROM new.result_sha256))))) EXECUTE FUNCTION course_plans_are_kept();
CREATE TRIGGER course_plans_are_not_deleted BEFORE DELETE ON public.course_plans FOR EACH ROW EXECUTE FUNCTION course_plans_are_kept();
ALTER TABLE course_plans ENABLE ROW LEVEL SECURITY;
CREATE POLICY course_plans_of_club ON course_plans FOR ALL USING (club_id = swardcase_club());

CREATE TABLE greens (
    id uuid NOT NULL,
    club_id uuid NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    updated_at timestamp with time zone NOT NULL,
    archived_at timestamp with time zone,
    name text NOT NULL,
    document json NOT NULL,
    CONSTRAINT greens_pk PRIMARY KEY (id),
    CONSTRAINT greens_in_club UNIQUE (club_id, id),
    CONSTRAINT greens_club FOREIGN KEY (club_id) REFERENCES clubs(id),
    CONSTRAINT greens_name CHECK (((length(name) >= 1) AND (length(name) <= 120))),
    CONSTRAINT greens_version CHECK ((version >= 1))
);
CREATE UNIQUE INDEX greens_name_taken ON public.greens USING btree (club_id, name) WHERE (archived_at IS NULL);
ALTER TABLE greens ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY greens_of_club ON greens FOR ALL USING (club_id = swardcase_club());

CREATE TABLE idempotency_keys (
    who text NOT NULL,
    route text NOT NULL,
    key text NOT NULL,
    club_id uuid,
    claim uuid NOT NULL,
    body_sha256 text NOT NULL,
    claimed_at timestamp with time zone NOT NULL,
    leased_until timestamp with time zone NOT NULL,
    kept_until timestamp with time zone NOT NULL,
    answer json,
    CONSTRAINT idempotency_keys_pk PRIMARY KEY (who, route, key),
    CONSTRAINT idempotency_keys_body_sha256 CHECK ((length(body_sha256) = 64))
);
CREATE INDEX idempotency_keys_by_end ON public.idempotency_keys USING btree (kept_until);
ALTER TABLE idempotency_keys ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY idempotency_keys_of_club ON idempotency_keys FOR ALL USING ((club_id = swardcase_club()) OR ((club_id IS NULL) AND swardcase_every_club()));

CREATE TABLE price_books (
    id uuid NOT NULL,
    club_id uuid NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    updated_at timestamp with time zone NOT NULL,
    archived_at timestamp with time zone,
    series_id uuid NOT NULL,
    edition bigint NOT NULL,
    used_at timestamp with time zone,
    document json NOT NULL,
    CONSTRAINT price_books_pk PRIMARY KEY (id),
    CONSTRAINT price_books_edition_taken UNIQUE (club_id, series_id, edition),
    CONSTRAINT price_books_in_club UNIQUE (club_id, id),
    CONSTRAINT price_books_club FOREIGN KEY (club_id) REFERENCES clubs(id),
    CONSTRAINT price_books_edition CHECK ((edition >= 1)),
    CONSTRAINT price_books_version CHECK ((version >= 1))
);
CREATE TRIGGER price_books_used_is_kept BEFORE UPDATE ON public.price_books FOR EACH ROW WHEN (((old.used_at IS NOT NULL) AND (((new.document)::text <> (old.document)::text) OR (new.used_at IS DISTINCT FROM old.used_at)))) EXECUTE FUNCTION price_books_used_is_kept();
ALTER TABLE price_books ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY price_books_of_club ON price_books FOR ALL USING (club_id = swardcase_club());

CREATE TABLE sessions (
    id uuid NOT NULL,
    club_id uuid,
    created_at timestamp with time zone NOT NULL,
    key_id uuid NOT NULL,
    secret_sha256 text NOT NULL,
    expires_at timestamp with time zone NOT NULL,
    CONSTRAINT sessions_pk PRIMARY KEY (id),
    CONSTRAINT sessions_secret_taken UNIQUE (secret_sha256),
    CONSTRAINT sessions_key FOREIGN KEY (key_id) REFERENCES access_keys(id),
    CONSTRAINT sessions_secret_sha256 CHECK ((length(secret_sha256) = 64))
);
CREATE INDEX sessions_by_end ON public.sessions USING btree (club_id, expires_at);
ALTER TABLE sessions ENABLE ROW LEVEL SECURITY;
CREATE POLICY sessions_of_club ON sessions FOR ALL USING ((club_id = swardcase_club()) OR ((club_id IS NULL) AND swardcase_every_club()));

CREATE TABLE share_links (
    id uuid NOT NULL,
    club_id uuid NOT NULL,
    created_at timestamp with time zone NOT NULL,
    appraisal_id uuid NOT NULL,
    label text NOT NULL,
    secret_sha256 text NOT NULL,
    expires_at timestamp with time zone NOT NULL,
    revoked_at timestamp with time zone,
    CONSTRAINT share_links_pk PRIMARY KEY (id),
    CONSTRAINT share_links_secret_taken UNIQUE (secret_sha256),
    CONSTRAINT share_links_appraisal FOREIGN KEY (club_id, appraisal_id) REFERENCES appraisals(club_id, id),
    CONSTRAINT share_links_label CHECK ((length(label) <= 60)),
    CONSTRAINT share_links_secret_sha256 CHECK ((length(secret_sha256) = 64))
);
CREATE INDEX share_links_by_appraisal ON public.share_links USING btree (club_id, appraisal_id, id);
CREATE TRIGGER share_links_are_kept BEFORE UPDATE ON public.share_links FOR EACH ROW WHEN (((old.revoked_at IS NOT NULL) OR (((((((old.id IS DISTINCT FROM new.id) OR (old.club_id IS DISTINCT FROM new.club_id)) OR (old.created_at IS DISTINCT FROM new.created_at)) OR (old.appraisal_id IS DISTINCT FROM new.appraisal_id)) OR (old.label IS DISTINCT FROM new.label)) OR (old.secret_sha256 IS DISTINCT FROM new.secret_sha256)) OR (old.expires_at IS DISTINCT FROM new.expires_at)))) EXECUTE FUNCTION access_is_kept();
CREATE TRIGGER share_links_are_not_deleted BEFORE DELETE ON public.share_links FOR EACH ROW EXECUTE FUNCTION access_is_kept();
ALTER TABLE share_links ENABLE ROW LEVEL SECURITY;
CREATE POLICY share_links_of_club ON share_links FOR ALL USING (club_id = swardcase_club());

CREATE TABLE surveys (
    id uuid NOT NULL,
    club_id uuid NOT NULL,
    version bigint NOT NULL,
    created_at timestamp with time zone NOT NULL,
    updated_at timestamp with time zone NOT NULL,
    archived_at timestamp with time zone,
    green_id uuid NOT NULL,
    surveyed_on date NOT NULL,
    document json NOT NULL,
    CONSTRAINT surveys_pk PRIMARY KEY (id),
    CONSTRAINT surveys_in_club UNIQUE (club_id, id),
    CONSTRAINT surveys_green FOREIGN KEY (club_id, green_id) REFERENCES greens(club_id, id),
    CONSTRAINT surveys_version CHECK ((version >= 1))
);
CREATE UNIQUE INDEX surveys_day_taken ON public.surveys USING btree (green_id, surveyed_on) WHERE (archived_at IS NULL);
ALTER TABLE surveys ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY surveys_of_club ON surveys FOR ALL USING (club_id = swardcase_club());

CREATE OR REPLACE FUNCTION public.access_is_kept()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    RAISE EXCEPTION 'a key or a share link cannot change, only be revoked once'
        USING ERRCODE = 'check_violation', CONSTRAINT = TG_TABLE_NAME || '_are_kept', TABLE = TG_TABLE_NAME;
END
$function$;

CREATE OR REPLACE FUNCTION public.appraisals_are_kept()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    RAISE EXCEPTION 'an appraisal cannot change, only be archived and restored'
        USING ERRCODE = 'check_violation', CONSTRAINT = 'appraisals_are_kept', TABLE = 'appraisals';
END
$function$;

CREATE OR REPLACE FUNCTION public.audit_entries_are_kept()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    RAISE EXCEPTION 'entries of the audit trail are only added'
        USING ERRCODE = 'check_violation', CONSTRAINT = 'audit_entries_are_kept', TABLE = 'audit_entries';
END
$function$;

CREATE OR REPLACE FUNCTION public.course_plans_are_kept()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    RAISE EXCEPTION 'a course plan that has ended cannot change, only be archived and restored'
        USING ERRCODE = 'check_violation', CONSTRAINT = 'course_plans_are_kept', TABLE = TG_TABLE_NAME;
END
$function$;

CREATE OR REPLACE FUNCTION public.price_books_used_is_kept()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    RAISE EXCEPTION 'a price book that an appraisal has used cannot change'
        USING ERRCODE = 'check_violation', CONSTRAINT = 'price_books_used_is_kept', TABLE = 'price_books';
END
$function$;

CREATE OR REPLACE FUNCTION public.swardcase_club()
 RETURNS uuid
 LANGUAGE sql
 STABLE PARALLEL SAFE
AS $function$ SELECT nullif(pg_catalog.current_setting('swardcase.club_id', true), '')::pg_catalog.uuid $function$;

CREATE OR REPLACE FUNCTION public.swardcase_due_job(due timestamp with time zone, past bigint, OUT job_club uuid, OUT job uuid)
 RETURNS SETOF record
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'public', 'pg_temp'
AS $function$ SELECT club_id, id FROM public.course_plans WHERE claimable_at <= due ORDER BY id LIMIT 1 OFFSET past $function$;

CREATE OR REPLACE FUNCTION public.swardcase_every_club()
 RETURNS boolean
 LANGUAGE sql
 STABLE PARALLEL SAFE
AS $function$ SELECT coalesce(pg_catalog.current_setting('swardcase.every_club', true), '') = 'on' $function$;

CREATE OR REPLACE FUNCTION public.swardcase_has_keys()
 RETURNS boolean
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'public', 'pg_temp'
AS $function$ SELECT EXISTS (SELECT FROM public.access_keys) $function$;

CREATE OR REPLACE FUNCTION public.swardcase_job_depth(OUT queued bigint, OUT running bigint, OUT oldest_s bigint)
 RETURNS record
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'public', 'pg_temp'
AS $function$ SELECT count(*) FILTER (WHERE state = 'queued'), count(*) FILTER (WHERE state = 'running'),
    CAST(extract(epoch FROM min(created_at) FILTER (WHERE state = 'queued')) AS bigint) FROM public.course_plans WHERE claimable_at IS NOT NULL $function$;

CREATE OR REPLACE FUNCTION public.swardcase_key_of_secret(hash text)
 RETURNS SETOF access_keys
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'public', 'pg_temp'
AS $function$ SELECT * FROM public.access_keys WHERE secret_sha256 = hash $function$;

CREATE OR REPLACE FUNCTION public.swardcase_key_of_session(hash text)
 RETURNS SETOF access_keys
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'public', 'pg_temp'
AS $function$ SELECT k.* FROM public.access_keys k JOIN public.sessions s ON s.key_id = k.id WHERE s.secret_sha256 = hash $function$;

CREATE OR REPLACE FUNCTION public.swardcase_session_of_secret(hash text)
 RETURNS SETOF sessions
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'public', 'pg_temp'
AS $function$ SELECT * FROM public.sessions WHERE secret_sha256 = hash $function$;

CREATE OR REPLACE FUNCTION public.swardcase_share_link_of_secret(hash text)
 RETURNS SETOF share_links
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'public', 'pg_temp'
AS $function$ SELECT * FROM public.share_links WHERE secret_sha256 = hash $function$;
