-- What the migrations come to, for readers. Nothing runs this: change the tables by a
-- new migration, then write this anew with go test ./api/store -run Schemas -update.

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
    CONSTRAINT appraisals_version CHECK ((version >= 1))
);
CREATE INDEX appraisals_by_green ON public.appraisals USING btree (green_id, id);
CREATE TRIGGER appraisals_are_kept BEFORE UPDATE ON public.appraisals FOR EACH ROW WHEN ((((((((((((((((((((((((old.id IS DISTINCT FROM new.id) OR (old.club_id IS DISTINCT FROM new.club_id)) OR (old.created_at IS DISTINCT FROM new.created_at)) OR (old.green_id IS DISTINCT FROM new.green_id)) OR (old.survey_id IS DISTINCT FROM new.survey_id)) OR (old.price_book_id IS DISTINCT FROM new.price_book_id)) OR (old.reappraises_id IS DISTINCT FROM new.reappraises_id)) OR (old.title IS DISTINCT FROM new.title)) OR (old.case_format IS DISTINCT FROM new.case_format)) OR (old.engine_version IS DISTINCT FROM new.engine_version)) OR (old.case_sha256 IS DISTINCT FROM new.case_sha256)) OR (old.result_sha256 IS DISTINCT FROM new.result_sha256)) OR (old.index_score IS DISTINCT FROM new.index_score)) OR (old.grade IS DISTINCT FROM new.grade)) OR (old.advice IS DISTINCT FROM new.advice)) OR (old.advised_option IS DISTINCT FROM new.advised_option)) OR (old.headline IS DISTINCT FROM new.headline)) OR (old.currency IS DISTINCT FROM new.currency)) OR (old.capital IS DISTINCT FROM new.capital)) OR (old.approve_capital IS DISTINCT FROM new.approve_capital)) OR (old.net_present_value IS DISTINCT FROM new.net_present_value)) OR ((old.case_document)::text IS DISTINCT FROM (new.case_document)::text)) OR ((old.result_document)::text IS DISTINCT FROM (new.result_document)::text))) EXECUTE FUNCTION appraisals_are_kept();
CREATE TRIGGER appraisals_are_not_deleted BEFORE DELETE ON public.appraisals FOR EACH ROW EXECUTE FUNCTION appraisals_are_kept();

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
    CONSTRAINT audit_entries_action CHECK ((action = ANY (ARRAY['create'::text, 'replace'::text, 'archive'::text, 'restore'::text, 'use'::text]))),
    CONSTRAINT audit_entries_noun CHECK ((noun = ANY (ARRAY['club'::text, 'green'::text, 'survey'::text, 'price_book'::text, 'appraisal'::text, 'share_link'::text])))
);
CREATE INDEX audit_entries_by_club ON public.audit_entries USING btree (club_id, number);
CREATE TRIGGER audit_entries_are_kept BEFORE DELETE OR UPDATE ON public.audit_entries FOR EACH ROW EXECUTE FUNCTION audit_entries_are_kept();

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

CREATE TABLE share_links (
    id uuid NOT NULL,
    club_id uuid NOT NULL,
    created_at timestamp with time zone NOT NULL,
    appraisal_id uuid NOT NULL,
    secret_sha256 text NOT NULL,
    expires_at timestamp with time zone NOT NULL,
    revoked_at timestamp with time zone,
    CONSTRAINT share_links_pk PRIMARY KEY (id),
    CONSTRAINT share_links_secret_taken UNIQUE (secret_sha256),
    CONSTRAINT share_links_appraisal FOREIGN KEY (club_id, appraisal_id) REFERENCES appraisals(club_id, id),
    CONSTRAINT share_links_secret_sha256 CHECK ((length(secret_sha256) = 64))
);

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

CREATE OR REPLACE FUNCTION public.price_books_used_is_kept()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    RAISE EXCEPTION 'a price book that an appraisal has used cannot change'
        USING ERRCODE = 'check_violation', CONSTRAINT = 'price_books_used_is_kept', TABLE = 'price_books';
END
$function$;
