-- +goose Up
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

-- +goose Down
DROP TABLE clubs;
