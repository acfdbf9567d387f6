-- +goose Up
-- The seed of an appraisal's draws stands in its case. Lists show it without
-- reading the case.
ALTER TABLE appraisals ADD COLUMN seed bigint;
-- Its owner may fill the rows of every club.
ALTER TABLE appraisals NO FORCE ROW LEVEL SECURITY;
-- Read from the text: json's own operators refuse a document with \u0000 in it,
-- wherever that stands. Within a JSON string each quotation mark has a backslash.
UPDATE appraisals SET seed = coalesce(substring(case_document::text FROM '"confidence"\s*:\s*{[^{}]*"seed"\s*:\s*([0-9]+)')::bigint, 0);
ALTER TABLE appraisals FORCE ROW LEVEL SECURITY;
ALTER TABLE appraisals ALTER COLUMN seed SET NOT NULL, ADD CONSTRAINT appraisals_seed CHECK (seed >= 0);
DROP TRIGGER appraisals_are_kept ON appraisals;
CREATE TRIGGER appraisals_are_kept BEFORE UPDATE ON appraisals FOR EACH ROW
    WHEN ((OLD.id, OLD.club_id, OLD.created_at, OLD.green_id, OLD.survey_id, OLD.price_book_id, OLD.reappraises_id,
           OLD.title, OLD.case_format, OLD.engine_version, OLD.seed, OLD.case_sha256, OLD.result_sha256, OLD.index_score, OLD.grade,
           OLD.advice, OLD.advised_option, OLD.headline, OLD.currency, OLD.capital, OLD.approve_capital,
           OLD.net_present_value, OLD.case_document::text, OLD.result_document::text)
          IS DISTINCT FROM
          (NEW.id, NEW.club_id, NEW.created_at, NEW.green_id, NEW.survey_id, NEW.price_book_id, NEW.reappraises_id,
           NEW.title, NEW.case_format, NEW.engine_version, NEW.seed, NEW.case_sha256, NEW.result_sha256, NEW.index_score, NEW.grade,
           NEW.advice, NEW.advised_option, NEW.headline, NEW.currency, NEW.capital, NEW.approve_capital,
           NEW.net_present_value, NEW.case_document::text, NEW.result_document::text))
    EXECUTE FUNCTION appraisals_are_kept();

-- +goose Down
DROP TRIGGER appraisals_are_kept ON appraisals;
ALTER TABLE appraisals DROP COLUMN seed;
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
