-- +goose Up
-- A request that stores something claims its key before it begins; the answer is
-- written in the transaction that stores the thing. A claim without an answer is
-- under way until its lease ends. The route holds the club's id, where it has
-- one; a request that makes a club has none.
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

-- +goose Down
DROP TABLE idempotency_keys;
