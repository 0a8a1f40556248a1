-- The ledger's first schema. Conventions: every id is a UUIDv7 as text; dates are ISO days as text; "private"
-- in a column's comment marks what says who or where a client is (table private_columns lists them for programs).
-- source_key says which row of which thing in the crew's own files a row came from, content_hash what it said:
-- the same key with the same hash adds nothing, with another hash it replaces the row and is logged.
-- position is a SpatiaLite POINT in EPSG:4326; programs see it as lon, lat. It is registered without the extension's
-- triggers: they call functions that a distrusted schema must not, and cost more than the row itself. A CHECK of
-- built-in functions holds the form (60 bytes, little endian, SRID 4326) instead. No spatial index: tables come out
-- whole, and an R-tree hangs on row numbers, which VACUUM may change.
-- Lists of allowed words are written x = a OR x = b: for "x IN (a, b)" SQLite builds a small index for every row, over half of the time
-- that a row of looks took.

SELECT InitSpatialMetadata(0, 'NONE');
SELECT InsertEpsgSrid(4326);

CREATE TABLE settings (
  name TEXT PRIMARY KEY,
  value TEXT NOT NULL               -- private: the secret that keys the masking is among them
) STRICT;

CREATE TABLE private_columns (
  table_name TEXT NOT NULL,
  column_name TEXT NOT NULL,
  PRIMARY KEY (table_name, column_name)
) STRICT;

CREATE TABLE imports (
  id TEXT PRIMARY KEY,
  kind TEXT NOT NULL,               -- visits, sightings, tracks, photos
  file_name TEXT NOT NULL,          -- without its folder
  sha256 TEXT NOT NULL,
  imported_at TEXT NOT NULL,        -- ISO time, UTC
  columns TEXT NOT NULL,            -- what was taken for what, "field=Column" lines
  rows_read INTEGER NOT NULL,
  rows_kept INTEGER NOT NULL,
  rows_known INTEGER NOT NULL,      -- looks or sightings that stood in the ledger already, with the same content
  rows_refused INTEGER NOT NULL,
  remarks TEXT NOT NULL DEFAULT ''  -- suspicious constants and the like, a line each
) STRICT;

CREATE TABLE refused_rows (
  id TEXT PRIMARY KEY,
  import_id TEXT NOT NULL REFERENCES imports(id) ON DELETE CASCADE,
  line INTEGER NOT NULL,
  column_name TEXT NOT NULL,
  value TEXT NOT NULL,              -- private
  reason TEXT NOT NULL,
  row TEXT NOT NULL                 -- private: the whole row as CSV
) STRICT;
CREATE INDEX refused_rows_by_import ON refused_rows(import_id);

CREATE TABLE premises (             -- once visited or decided on; other premises stay in the public layer
  id TEXT PRIMARY KEY,
  public_id TEXT UNIQUE,            -- id in the premises layer, NULL if it isn't there
  address TEXT NOT NULL,            -- private: as the reference writes it
  unit TEXT NOT NULL DEFAULT '',
  place TEXT NOT NULL DEFAULT '',
  postcode TEXT NOT NULL DEFAULT '',
  uncertainty_m REAL NOT NULL,
  asked_not_to_return TEXT,         -- ISO day since when, or NULL
  hazard TEXT NOT NULL DEFAULT '',  -- private
  position BLOB CHECK (position IS NULL OR (length(position) = 60 AND hex(substr(position, 1, 6)) = '0001E6100000'))  -- private
) STRICT;

CREATE TABLE placements (           -- one row a distinct typed address; recomputed by the placing step
  id TEXT PRIMARY KEY,
  typed_key TEXT NOT NULL UNIQUE,   -- private: address | place | postcode as typed, trimmed
  decision TEXT NOT NULL CHECK (decision = 'placed' OR decision = 'undecided' OR decision = 'none'),
  placed_by TEXT NOT NULL CHECK (placed_by = 'point' OR placed_by = 'between' OR placed_by = 'range' OR placed_by = 'crossing' OR placed_by = 'block' OR placed_by = 'street' OR placed_by = 'postcode' OR placed_by = 'none' OR placed_by = 'phone' OR placed_by = 'hand'),
  premises_id TEXT REFERENCES premises(id),
  score REAL NOT NULL,
  uncertainty_m REAL,
  matched_address TEXT NOT NULL DEFAULT '',  -- private
  matched_id TEXT NOT NULL DEFAULT '',       -- private
  runner_up_score REAL,
  why TEXT NOT NULL DEFAULT '',
  position BLOB CHECK (position IS NULL OR (length(position) = 60 AND hex(substr(position, 1, 6)) = '0001E6100000'))  -- private
) STRICT;

CREATE TABLE looks (
  id TEXT PRIMARY KEY,
  import_id TEXT NOT NULL REFERENCES imports(id),
  source_key TEXT NOT NULL UNIQUE,  -- visit_id of the file, or a hash of its row
  content_hash TEXT NOT NULL,
  date TEXT NOT NULL,
  time TEXT NOT NULL DEFAULT '',
  crew TEXT NOT NULL DEFAULT '',
  address TEXT NOT NULL DEFAULT '', -- private: as typed
  place TEXT NOT NULL DEFAULT '',
  postcode TEXT NOT NULL DEFAULT '',
  placement_id TEXT REFERENCES placements(id),
  premises_id TEXT REFERENCES premises(id),
  look TEXT NOT NULL CHECK (look = 'knock' OR look = 'street' OR look = 'call' OR look = 'track'),
  why_here TEXT NOT NULL CHECK (why_here = 'planned' OR why_here = 'passing' OR why_here = 'caller' OR why_here = 'owner_asked' OR why_here = 'return'),
  door_result TEXT NOT NULL CHECK (door_result = '' OR door_result = 'welcomed' OR door_result = 'declined' OR door_result = 'asked_not_to_return' OR door_result = 'nobody_home' OR door_result = 'no_dog' OR door_result = 'no_access' OR door_result = 'vacant'),
  note_left INTEGER NOT NULL DEFAULT 0,
  dogs_seen INTEGER,                -- NULL = not said
  dogs_met INTEGER,
  promised TEXT NOT NULL DEFAULT '',
  return_by TEXT,
  notes TEXT NOT NULL DEFAULT '',      -- private
  hazard TEXT NOT NULL DEFAULT '',     -- private
  household TEXT NOT NULL DEFAULT '',  -- private
  phone TEXT NOT NULL DEFAULT '',      -- private
  photos TEXT NOT NULL DEFAULT '',     -- private
  language TEXT NOT NULL DEFAULT '',
  heard_by TEXT NOT NULL DEFAULT '',
  position BLOB CHECK (position IS NULL OR (length(position) = 60 AND hex(substr(position, 1, 6)) = '0001E6100000'))  -- private: as the phone said
) STRICT;
CREATE INDEX looks_by_date ON looks(date);
CREATE INDEX looks_by_premises ON looks(premises_id);

CREATE TABLE permissions (
  id TEXT PRIMARY KEY,
  look_id TEXT NOT NULL REFERENCES looks(id) ON DELETE CASCADE,
  given_by TEXT NOT NULL DEFAULT '',  -- owner, relative, caretaker
  how TEXT NOT NULL DEFAULT '',       -- door, phone
  for_what TEXT NOT NULL DEFAULT '',  -- enter; handle; change; treat; photograph; transport
  until TEXT,
  withdrawn TEXT
) STRICT;
CREATE INDEX permissions_by_look ON permissions(look_id);

CREATE TABLE animals (
  id TEXT PRIMARY KEY,
  gather_key TEXT NOT NULL UNIQUE,  -- private: premises and name or ordinal, so that ids stay when steps run again
  premises_id TEXT REFERENCES premises(id),
  name TEXT NOT NULL DEFAULT '',
  kind TEXT NOT NULL DEFAULT 'dog',
  sex TEXT NOT NULL DEFAULT '',
  age TEXT NOT NULL DEFAULT '',
  altered TEXT NOT NULL DEFAULT '',
  description TEXT NOT NULL DEFAULT '',  -- private
  first_seen TEXT NOT NULL,
  first_met TEXT,
  last_seen TEXT NOT NULL
) STRICT;

CREATE TABLE visits (               -- a look with permission; one row an animal that was met
  id TEXT PRIMARY KEY,
  look_id TEXT NOT NULL REFERENCES looks(id) ON DELETE CASCADE,
  ordinal INTEGER NOT NULL,         -- 1-based among the look's animals
  animal_id TEXT REFERENCES animals(id),
  name TEXT NOT NULL DEFAULT '',
  kind TEXT NOT NULL DEFAULT 'dog',
  sex TEXT NOT NULL DEFAULT '',
  age TEXT NOT NULL DEFAULT '',
  altered TEXT NOT NULL DEFAULT '',
  description TEXT NOT NULL DEFAULT '',  -- private
  UNIQUE (look_id, ordinal)
) STRICT;
CREATE INDEX visits_by_animal ON visits(animal_id);

CREATE TABLE checks (
  id TEXT PRIMARY KEY,
  visit_id TEXT NOT NULL REFERENCES visits(id) ON DELETE CASCADE,
  moment TEXT NOT NULL CHECK (moment = 'found' OR moment = 'left'),
  items TEXT NOT NULL,              -- packed: "house=met;tether=unmet;water=not seen", ids ascending
  body_condition INTEGER,
  body_scale TEXT NOT NULL DEFAULT '',
  UNIQUE (visit_id, moment)
) STRICT;

CREATE TABLE services (             -- what was done or given: "straw 2"
  id TEXT PRIMARY KEY,
  look_id TEXT NOT NULL REFERENCES looks(id) ON DELETE CASCADE,
  visit_id TEXT REFERENCES visits(id) ON DELETE CASCADE,
  item TEXT NOT NULL,
  quantity REAL NOT NULL DEFAULT 1
) STRICT;
CREATE INDEX services_by_look ON services(look_id);
CREATE INDEX services_by_visit ON services(visit_id);

CREATE TABLE treatments (           -- logged, never dosed
  id TEXT PRIMARY KEY,
  visit_id TEXT NOT NULL REFERENCES visits(id) ON DELETE CASCADE,
  product TEXT NOT NULL,
  lot TEXT NOT NULL DEFAULT '',
  weight REAL,
  weight_unit TEXT NOT NULL DEFAULT '',
  next_due TEXT
) STRICT;
CREATE INDEX treatments_by_visit ON treatments(visit_id);

CREATE TABLE outcomes (
  id TEXT PRIMARY KEY,
  visit_id TEXT NOT NULL REFERENCES visits(id) ON DELETE CASCADE,
  date TEXT NOT NULL,
  outcome TEXT NOT NULL CHECK (outcome = 'given_up' OR outcome = 'improved' OR outcome = 'unchanged' OR outcome = 'worse' OR outcome = 'neutered' OR outcome = 'moved' OR outcome = 'died' OR outcome = 'lost_contact' OR outcome = 'referred'),
  followed TEXT NOT NULL DEFAULT '' -- after given_up: veterinarian, foster, shelter, adopted, returned, euthanised
) STRICT;
CREATE INDEX outcomes_by_visit ON outcomes(visit_id);

CREATE TABLE referrals (
  id TEXT PRIMARY KEY,
  look_id TEXT NOT NULL REFERENCES looks(id) ON DELETE CASCADE,
  date TEXT NOT NULL,
  referred_to TEXT NOT NULL,
  answered TEXT,
  answer TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX referrals_by_look ON referrals(look_id);

CREATE TABLE sightings (
  id TEXT PRIMARY KEY,
  import_id TEXT NOT NULL REFERENCES imports(id),
  source_key TEXT NOT NULL UNIQUE,
  content_hash TEXT NOT NULL,
  date TEXT NOT NULL,
  time TEXT NOT NULL DEFAULT '',
  address TEXT NOT NULL DEFAULT '', -- private: as typed
  place TEXT NOT NULL DEFAULT '',
  postcode TEXT NOT NULL DEFAULT '',
  placement_id TEXT REFERENCES placements(id),
  premises_id TEXT REFERENCES premises(id),
  animal_id TEXT REFERENCES animals(id),
  what TEXT NOT NULL CHECK (what = 'dog' OR what = 'house' OR what = 'pen' OR what = 'chain' OR what = 'sign' OR what = 'heard'),
  count INTEGER NOT NULL DEFAULT 1,
  description TEXT NOT NULL DEFAULT '',  -- private
  source TEXT NOT NULL CHECK (source = 'crew' OR source = 'caller' OR source = 'post'),
  notes TEXT NOT NULL DEFAULT '',        -- private
  position BLOB CHECK (position IS NULL OR (length(position) = 60 AND hex(substr(position, 1, 6)) = '0001E6100000'))  -- private: NULL when only an address is known
) STRICT;
CREATE INDEX sightings_by_date ON sightings(date);

CREATE TABLE decisions (            -- what a person settled; applied before anything computed
  id TEXT PRIMARY KEY,
  decided_at TEXT NOT NULL,
  kind TEXT NOT NULL CHECK (kind = 'accept' OR kind = 'move' OR kind = 'refuse' OR kind = 'teach' OR kind = 'same_premises' OR kind = 'same_animal'),
  typed TEXT NOT NULL DEFAULT '',   -- private
  meant TEXT NOT NULL DEFAULT '',   -- private
  lon REAL,                         -- private
  lat REAL,                         -- private
  undone INTEGER NOT NULL DEFAULT 0
) STRICT;

CREATE TABLE outputs (              -- receipts: what was written, from what
  id TEXT PRIMARY KEY,
  sha256 TEXT NOT NULL,
  file_name TEXT NOT NULL,
  audience TEXT NOT NULL CHECK (audience = 'crew' OR audience = 'authority' OR audience = 'partner' OR audience = 'public'),
  made_at TEXT NOT NULL,
  receipt TEXT NOT NULL             -- JSON: inputs' SHA-256, parameters, seed, version, freeze date
) STRICT;
CREATE INDEX outputs_by_hash ON outputs(sha256);

-- What happened to which row, in order. An import is logged by one line a table ('import': row_id is the import, count
-- its new rows there, which are those whose own or whose look's import_id it is); everything else row by row.
CREATE TABLE change_log (
  sequence INTEGER PRIMARY KEY,     -- order within this file; id is what holds when files are merged
  id TEXT NOT NULL,
  changed_at TEXT NOT NULL,         -- ISO time, UTC
  table_name TEXT NOT NULL,
  row_id TEXT NOT NULL,
  action TEXT NOT NULL CHECK (action = 'import' OR action = 'insert' OR action = 'update' OR action = 'delete'),
  count INTEGER NOT NULL DEFAULT 1,
  before TEXT                       -- private: JSON: the former values of what changed (update) or the whole row (delete)
) STRICT;
CREATE INDEX change_log_by_row ON change_log(row_id);

INSERT INTO geometry_columns (f_table_name, f_geometry_column, geometry_type, coord_dimension, srid, spatial_index_enabled) VALUES
  ('premises', 'position', 1, 2, 4326, 0), ('placements', 'position', 1, 2, 4326, 0),
  ('looks', 'position', 1, 2, 4326, 0), ('sightings', 'position', 1, 2, 4326, 0);

INSERT INTO private_columns (table_name, column_name) VALUES
  ('settings','value'),
  ('refused_rows','value'), ('refused_rows','row'),
  ('premises','address'), ('premises','hazard'), ('premises','position'),
  ('placements','typed_key'), ('placements','matched_address'), ('placements','matched_id'), ('placements','position'),
  ('looks','address'), ('looks','notes'), ('looks','hazard'), ('looks','household'), ('looks','phone'), ('looks','photos'), ('looks','position'),
  ('animals','gather_key'), ('animals','description'), ('visits','description'),
  ('sightings','address'), ('sightings','description'), ('sightings','notes'), ('sightings','position'),
  ('decisions','typed'), ('decisions','meant'), ('decisions','lon'), ('decisions','lat'),
  ('change_log','before');
