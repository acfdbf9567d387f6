-- +goose Up
CREATE TABLE clubs (
    id          uuid        NOT NULL,
    club_id     uuid        NOT NULL, -- equal to id, so that every table can be kept apart by club in one way
    version     bigint      NOT NULL,
    created_at  timestamptz NOT NULL,
    updated_at  timestamptz NOT NULL,
    archived_at timestamptz,
    name        text        NOT NULL,
    document    json        NOT NULL,
    CONSTRAINT clubs_pk PRIMARY KEY (id),
    CONSTRAINT clubs_own_club CHECK (club_id = id),
    CONSTRAINT clubs_version CHECK (version >= 1),
    CONSTRAINT clubs_name CHECK (length(name) BETWEEN 1 AND 120)
);

-- +goose Down
DROP TABLE clubs;
