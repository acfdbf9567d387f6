-- +goose Up
-- The seed of an appraisal's draws stands in its case. Lists show it without
-- reading the case.
ALTER TABLE appraisals ADD COLUMN seed integer NOT NULL DEFAULT 0 CONSTRAINT appraisals_seed CHECK (seed >= 0);
UPDATE appraisals SET seed = coalesce(json_extract(case_document, '$.confidence.seed'), 0);
DROP TRIGGER appraisals_are_kept;
-- +goose StatementBegin
CREATE TRIGGER appraisals_are_kept BEFORE UPDATE OF id, club_id, created_at, green_id, survey_id, price_book_id, reappraises_id,
    title, case_format, engine_version, seed, case_sha256, result_sha256, index_score, grade, advice, advised_option, headline,
    currency, capital, approve_capital, net_present_value, case_document, result_document ON appraisals FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'appraisals_are_kept');
END;
-- +goose StatementEnd

-- +goose Down
DROP TRIGGER appraisals_are_kept;
ALTER TABLE appraisals DROP COLUMN seed;
-- +goose StatementBegin
CREATE TRIGGER appraisals_are_kept BEFORE UPDATE OF id, club_id, created_at, green_id, survey_id, price_book_id, reappraises_id,
    title, case_format, engine_version, case_sha256, result_sha256, index_score, grade, advice, advised_option, headline,
    currency, capital, approve_capital, net_present_value, case_document, result_document ON appraisals FOR EACH ROW
BEGIN
    SELECT RAISE(ABORT, 'appraisals_are_kept');
END;
-- +goose StatementEnd
