-- +goose Up
-- The second wall between clubs, behind the club that every query names. Each
-- transaction says whose rows it is for:
--   swardcase.club_id     one club, or empty for none
--   swardcase.every_club  'on' to list clubs and keys, and for what has no club
-- A login that serves owns no table, and sees no row without them.
-- +goose StatementBegin
CREATE FUNCTION swardcase_club() RETURNS uuid LANGUAGE sql STABLE PARALLEL SAFE
AS $$ SELECT nullif(pg_catalog.current_setting('swardcase.club_id', true), '')::pg_catalog.uuid $$;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE FUNCTION swardcase_every_club() RETURNS boolean LANGUAGE sql STABLE PARALLEL SAFE
AS $$ SELECT coalesce(pg_catalog.current_setting('swardcase.every_club', true), '') = 'on' $$;
-- +goose StatementEnd

ALTER TABLE clubs ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY clubs_of_club ON clubs USING (club_id = swardcase_club());
CREATE POLICY clubs_listed ON clubs FOR SELECT USING (swardcase_every_club());

ALTER TABLE greens ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY greens_of_club ON greens USING (club_id = swardcase_club());

ALTER TABLE surveys ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY surveys_of_club ON surveys USING (club_id = swardcase_club());

ALTER TABLE price_books ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY price_books_of_club ON price_books USING (club_id = swardcase_club());

ALTER TABLE appraisals ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY appraisals_of_club ON appraisals USING (club_id = swardcase_club());

ALTER TABLE audit_entries ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY audit_entries_of_club ON audit_entries USING (club_id = swardcase_club());

ALTER TABLE idempotency_keys ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY;
CREATE POLICY idempotency_keys_of_club ON idempotency_keys
    USING (club_id = swardcase_club() OR club_id IS NULL AND swardcase_every_club());

-- These three are not forced on their owner: the functions below, which run as
-- the owner, look a secret up before its club is known.
ALTER TABLE access_keys ENABLE ROW LEVEL SECURITY;
CREATE POLICY access_keys_of_club ON access_keys
    USING (club_id = swardcase_club() OR club_id IS NULL AND swardcase_every_club());
CREATE POLICY access_keys_listed ON access_keys FOR SELECT USING (swardcase_every_club());

ALTER TABLE sessions ENABLE ROW LEVEL SECURITY;
CREATE POLICY sessions_of_club ON sessions
    USING (club_id = swardcase_club() OR club_id IS NULL AND swardcase_every_club());

ALTER TABLE share_links ENABLE ROW LEVEL SECURITY;
CREATE POLICY share_links_of_club ON share_links USING (club_id = swardcase_club());

-- Each takes the hash of a secret, and gives what belongs to that secret alone.
-- +goose StatementBegin
CREATE FUNCTION swardcase_key_of_secret(hash text) RETURNS SETOF access_keys LANGUAGE sql STABLE
SECURITY DEFINER SET search_path = pg_catalog, public, pg_temp
AS $$ SELECT * FROM public.access_keys WHERE secret_sha256 = hash $$;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE FUNCTION swardcase_session_of_secret(hash text) RETURNS SETOF sessions LANGUAGE sql STABLE
SECURITY DEFINER SET search_path = pg_catalog, public, pg_temp
AS $$ SELECT * FROM public.sessions WHERE secret_sha256 = hash $$;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE FUNCTION swardcase_key_of_session(hash text) RETURNS SETOF access_keys LANGUAGE sql STABLE
SECURITY DEFINER SET search_path = pg_catalog, public, pg_temp
AS $$ SELECT k.* FROM public.access_keys k JOIN public.sessions s ON s.key_id = k.id WHERE s.secret_sha256 = hash $$;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE FUNCTION swardcase_share_link_of_secret(hash text) RETURNS SETOF share_links LANGUAGE sql STABLE
SECURITY DEFINER SET search_path = pg_catalog, public, pg_temp
AS $$ SELECT * FROM public.share_links WHERE secret_sha256 = hash $$;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE FUNCTION swardcase_has_keys() RETURNS boolean LANGUAGE sql STABLE
SECURITY DEFINER SET search_path = pg_catalog, public, pg_temp
AS $$ SELECT EXISTS (SELECT FROM public.access_keys) $$;
-- +goose StatementEnd
REVOKE ALL ON FUNCTION swardcase_key_of_secret(text), swardcase_session_of_secret(text), swardcase_key_of_session(text),
    swardcase_share_link_of_secret(text), swardcase_has_keys() FROM PUBLIC;

-- +goose Down
DROP FUNCTION swardcase_has_keys();
DROP FUNCTION swardcase_share_link_of_secret(text);
DROP FUNCTION swardcase_key_of_session(text);
DROP FUNCTION swardcase_session_of_secret(text);
DROP FUNCTION swardcase_key_of_secret(text);
DROP POLICY share_links_of_club ON share_links;
ALTER TABLE share_links DISABLE ROW LEVEL SECURITY;
DROP POLICY sessions_of_club ON sessions;
ALTER TABLE sessions DISABLE ROW LEVEL SECURITY;
DROP POLICY access_keys_listed ON access_keys;
DROP POLICY access_keys_of_club ON access_keys;
ALTER TABLE access_keys DISABLE ROW LEVEL SECURITY;
DROP POLICY idempotency_keys_of_club ON idempotency_keys;
ALTER TABLE idempotency_keys NO FORCE ROW LEVEL SECURITY, DISABLE ROW LEVEL SECURITY;
DROP POLICY audit_entries_of_club ON audit_entries;
ALTER TABLE audit_entries NO FORCE ROW LEVEL SECURITY, DISABLE ROW LEVEL SECURITY;
DROP POLICY appraisals_of_club ON appraisals;
ALTER TABLE appraisals NO FORCE ROW LEVEL SECURITY, DISABLE ROW LEVEL SECURITY;
DROP POLICY price_books_of_club ON price_books;
ALTER TABLE price_books NO FORCE ROW LEVEL SECURITY, DISABLE ROW LEVEL SECURITY;
DROP POLICY surveys_of_club ON surveys;
ALTER TABLE surveys NO FORCE ROW LEVEL SECURITY, DISABLE ROW LEVEL SECURITY;
DROP POLICY greens_of_club ON greens;
ALTER TABLE greens NO FORCE ROW LEVEL SECURITY, DISABLE ROW LEVEL SECURITY;
DROP POLICY clubs_listed ON clubs;
DROP POLICY clubs_of_club ON clubs;
ALTER TABLE clubs NO FORCE ROW LEVEL SECURITY, DISABLE ROW LEVEL SECURITY;
DROP FUNCTION swardcase_every_club();
DROP FUNCTION swardcase_club();
