-- +goose Up
CREATE TABLE greens (
    id          text      NOT NULL,
    club_id     text      NOT NULL,
    version     integer   NOT NULL,
    created_at  timestamp NOT NULL,
    updated_at  timestamp NOT NULL,
    archived_at timestamp,
    name        text      NOT NULL,
    document    text      NOT NULL,
    CONSTRAINT greens_pk PRIMARY KEY (id),
    CONSTRAINT greens_in_club UNIQUE (club_id, id), -- what surveys and appraisals refer to
    CONSTRAINT greens_club FOREIGN KEY (club_id) REFERENCES clubs (id),
    CONSTRAINT greens_version CHECK (version >= 1),
    CONSTRAINT greens_name CHECK (length(name) BETWEEN 1 AND 120)
);
CREATE UNIQUE INDEX greens_name_taken ON greens (club_id, name) WHERE archived_at IS NULL;

CREATE TABLE surveys (
    id          text      NOT NULL,
    club_id     text      NOT NULL,
    version     integer   NOT NULL,
    created_at  timestamp NOT NULL,
    updated_at  timestamp NOT NULL,
    archived_at timestamp,
    green_id    text      NOT NULL,
    surveyed_on text      NOT NULL, -- YYYY-MM-DD
    document    text      NOT NULL,
    CONSTRAINT surveys_pk PRIMARY KEY (id),
    CONSTRAINT surveys_in_club UNIQUE (club_id, id),
    CONSTRAINT surveys_green FOREIGN KEY (club_id, green_id) REFERENCES greens (club_id, id),
    CONSTRAINT surveys_version CHECK (version >= 1),
    CONSTRAINT surveys_day CHECK (surveyed_on IS date(surveyed_on))
);
CREATE UNIQUE INDEX surveys_day_taken ON surveys (green_id, surveyed_on) WHERE archived_at IS NULL;

-- +goose Down
DROP TABLE surveys;
DROP TABLE greens;
