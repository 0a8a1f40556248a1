-- What the team has to give: what came in, went out, was put on a van or counted. What was given at doors stands in services and treatments. Holds
-- nothing about clients.
CREATE TABLE stock (
  id TEXT PRIMARY KEY,
  import_id TEXT NOT NULL REFERENCES imports(id),
  source_key TEXT NOT NULL UNIQUE,  -- stock_id of the file, or a hash of its row and how often it stood there before
  content_hash TEXT NOT NULL,
  date TEXT NOT NULL,
  move TEXT NOT NULL CHECK (move = 'in' OR move = 'out' OR move = 'load' OR move = 'unload' OR move = 'counted'),
  item TEXT NOT NULL,
  quantity REAL NOT NULL CHECK (quantity >= 0),
  unit TEXT NOT NULL DEFAULT '',
  van TEXT NOT NULL DEFAULT '',     -- '' = the store
  lot TEXT NOT NULL DEFAULT '',
  use_by TEXT,
  cost REAL                         -- of the whole row
) STRICT;
CREATE INDEX stock_by_date ON stock(date);
