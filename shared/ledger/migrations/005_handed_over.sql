-- What left the team, so that nothing handed over later can be held against it, and who was forgotten.

CREATE TABLE exports (              -- one row a hand-over
  id TEXT PRIMARY KEY,
  made_at TEXT NOT NULL,            -- ISO time, UTC
  made_by TEXT NOT NULL,            -- the account on this machine
  audience TEXT NOT NULL CHECK (audience = 'authority' OR audience = 'partner' OR audience = 'public'),
  case_id TEXT NOT NULL DEFAULT '',
  as_of TEXT NOT NULL,
  content_hash TEXT NOT NULL,       -- SHA-256 over the files' names and contents
  files TEXT NOT NULL               -- "SHA-256 name" lines
) STRICT;

CREATE TABLE handed_cells (         -- every count of every table that an audience was given: a figure once told stays
  audience TEXT NOT NULL,
  tables TEXT NOT NULL,             -- which areas and periods: "areas, quarter"
  area TEXT NOT NULL,
  period TEXT NOT NULL,
  kind TEXT NOT NULL,
  value INTEGER NOT NULL,           -- private: as counted then, also where it was withheld
  withheld INTEGER NOT NULL,
  export_id TEXT NOT NULL REFERENCES exports(id),
  PRIMARY KEY (audience, tables, area, period, kind)
) STRICT;

CREATE TABLE masked_places (        -- where a home's point was moved, drawn once
  audience TEXT NOT NULL,
  premises_tag TEXT NOT NULL,       -- private: keyed hash of the premises
  lon REAL,                         -- NULL: withheld
  lat REAL,
  nearer INTEGER NOT NULL,          -- premises nearer to it than the true one: the k that was met
  candidates INTEGER NOT NULL,
  since TEXT NOT NULL,              -- the coarse date that stands beside it
  why_not TEXT NOT NULL DEFAULT '',
  export_id TEXT NOT NULL REFERENCES exports(id),
  PRIMARY KEY (audience, premises_tag)
) STRICT;

CREATE TABLE tombstones (           -- keyed hashes by which what was forgotten is known again, should it come in once more
  tag TEXT PRIMARY KEY,
  day TEXT NOT NULL                 -- rows of later days are new and may come in
) STRICT;

INSERT INTO private_columns (table_name, column_name) VALUES ('handed_cells','value'), ('masked_places','premises_tag');
