-- +goose Up
-- An appraisal is a snapshot: the resolved case, the result, and the SHA-256 of
-- each over its RFC 8785 form. The documents are json and not jsonb, which would
-- not give back what was stored. The figures beside them are for lists.
CREATE TABLE appraisals (
    id                uuid           NOT NULL,
    club_id           uuid           NOT NULL,
    version           bigint         NOT NULL,
    created_at        timestamptz    NOT NULL,
    updated_at        timestamptz    NOT NULL,
    archived_at       timestamptz,
    green_id          uuid           NOT NULL,
    survey_id         uuid           NOT NULL,
    price_book_id     uuid,
    reappraises_id    uuid,
    title             text           NOT NULL,
    case_format       bigint         NOT NULL,
    engine_version    text           NOT NULL,
    case_sha256       text           NOT NULL,
    result_sha256     text           NOT NULL,
    index_score       double precision NOT NULL,
    grade             text           NOT NULL,
    advice            text           NOT NULL,
    advised_option    text           NOT NULL,
    headline          text           NOT NULL,
    currency          text           NOT NULL,
    capital           numeric(16, 4) NOT NULL,
    approve_capital   numeric(16, 4) NOT NULL,
    net_present_value numeric(16, 4) NOT NULL,
    case_document     json           NOT NULL,
    result_document   json           NOT NULL,
    CONSTRAINT appraisals_pk PRIMARY KEY (id),
    CONSTRAINT appraisals_in_club UNIQUE (club_id, id),
    CONSTRAINT appraisals_green FOREIGN KEY (club_id, green_id) REFERENCES greens (club_id, id),
    CONSTRAINT appraisals_survey FOREIGN KEY (club_id, survey_id) REFERENCES surveys (club_id, id),
    CONSTRAINT appraisals_price_book FOREIGN KEY (club_id, price_book_id) REFERENCES price_books (club_id, id),
    CONSTRAINT appraisals_reappraises FOREIGN KEY (club_id, reappraises_id) REFERENCES appraisals (club_id, id),
    CONSTRAINT appraisals_version CHECK (version >= 1),
    CONSTRAINT appraisals_currency CHECK (length(currency) = 3),
    CONSTRAINT appraisals_capital CHECK (capital <> 'NaN'),
    CONSTRAINT appraisals_approve_capital CHECK (approve_capital <> 'NaN'),
    CONSTRAINT appraisals_net_present_value CHECK (net_present_value <> 'NaN'),
    CONSTRAINT appraisals_case_sha256 CHECK (length(case_sha256) = 64),
    CONSTRAINT appraisals_result_sha256 CHECK (length(result_sha256) = 64)
);
CREATE INDEX appraisals_by_green ON appraisals (green_id, id);

-- +goose StatementBegin
CREATE FUNCTION appraisals_are_kept() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'an appraisal cannot change, only be archived and restored'
        USING ERRCODE = 'check_violation', CONSTRAINT = 'appraisals_are_kept', TABLE = 'appraisals';
END
$$;
-- +goose StatementEnd
CREATE TRIGGER appraisals_are_kept BEFORE UPDATE ON appraisals FOR EACH ROW
    WHEN ((OLD.id, OLD.club_id, OLD.created_at, OLD.green_id, OLD.survey_id, OLD.price_book_id, OLD.reappraises_id,
           OLD.title, OLD.case_format, OLD.engine_version, OLD.case_sha256, OLD.result_sha256, OLD.index_score, OLD.grade,
           OLD.advice, OLD.advised_option, OLD.headline, OLD.currency, OLD.capital, OLD.approve_capital,
           OLD.net_present_value, OLD.case_document::text, OLD.result_document::text)
          IS DISTINCT FROM
          (NEW.id, NEW.club_id, NEW.created_at, NEW.green_id, NEW.survey_id, NEW.price_book_id, NEW.reappraises_id,
           NEW.title, NEW.case_format, NEW.engine_version, NEW.case_sha256, NEW.result_sha256, NEW.index_score, NEW.grade,
           NEW.advice, NEW.advised_option, NEW.headline, NEW.currency, NEW.capital, NEW.approve_capital,
           NEW.net_present_value, NEW.case_document::text, NEW.result_document::text))
    EXECUTE FUNCTION appraisals_are_kept();
CREATE TRIGGER appraisals_are_not_deleted BEFORE DELETE ON appraisals FOR EACH ROW
    EXECUTE FUNCTION appraisals_are_kept();

-- A share link shows one appraisal to whoever holds its secret, of which only
-- the SHA-256 is kept.
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

-- +goose Down
DROP TABLE share_links;
DROP TABLE appraisals;
DROP FUNCTION appraisals_are_kept();
