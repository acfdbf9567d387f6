-- +goose Up
-- An appraisal is a snapshot: the resolved case, the result, and the SHA-256 of
-- each over its RFC 8785 form. The figures beside them are for lists. Amounts are
-- text, because a numeric column would make floating-point numbers of them.
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
    result_document   text      NOT NULL,
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

-- +goose StatementBegin
CREATE TRIGGER appraisals_are_kept BEFORE UPDATE OF id, club_id, created_at, green_id, survey_id, price_book_id, reappraises_id,
    title, case_format, engine_version, case_sha256, result_sha256, index_score, grade, advice, advised_option, headline,
    currency, capital, approve_capital, net_present_value, case_document, result_document ON appraisals FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'appraisals_are_kept');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER appraisals_are_not_deleted BEFORE DELETE ON appraisals FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'appraisals_are_kept');
END;
-- +goose StatementEnd

-- A share link shows one appraisal to whoever holds its secret, of which only
-- the SHA-256 is kept.
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

-- +goose Down
DROP TABLE share_links;
DROP TABLE appraisals;
