-- +goose Up
CREATE TABLE greens (
    id          uuid        NOT NULL,
    club_id     uuid        NOT NULL,
    version     bigint      NOT NULL,
    created_at  timestamptz NOT NULL,
    updated_at  timestamptz NOT NULL,
    archived_at timestamptz,
    name        text        NOT NULL,
    document    json        NOT NULL,
    CONSTRAINT greens_pk PRIMARY KEY (id),
    CONSTRAINT greens_in_club UNIQUE (club_id, id), -- what surveys and appraisals refer to
    CONSTRAINT greens_club FOREIGN KEY (club_id) REFERENCES clubs (id),
    CONSTRAINT greens_version CHECK (version >= 1),
    CONSTRAINT greens_name CHECK (length(name) BETWEEN 1 AND 120)
);
CREATE UNIQUE INDEX greens_name_taken ON greens (club_id, name) WHERE archived_at IS NULL;

CREATE TABLE surveys (
    id          uuid        NOT NULL,
    club_id     uuid        NOT NULL,
    version     bigint      NOT NULL,
    created_at  timestamptz NOT NULL,
    updated_at  timestamptz NOT NULL,
    archived_at timestamptz,
    green_id    uuid        NOT NULL,
    surveyed_on date        NOT NULL,
    document    json        NOT NULL,
    CONSTRAINT surveys_pk PRIMARY KEY (id),
    CONSTRAINT surveys_in_club UNIQUE (club_id, id),
    CONSTRAINT surveys_green FOREIGN KEY (club_id, green_id) REFERENCES greens (club_id, id),
    CONSTRAINT surveys_version CHECK (version >= 1)
);
CREATE UNIQUE INDEX surveys_day_taken ON surveys (green_id, surveyed_on) WHERE archived_at IS NULL;

-- +goose Down
DROP TABLE surveys;
DROP TABLE greens;
