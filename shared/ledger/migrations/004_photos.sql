-- Pictures that a crew took. The ledger keeps which picture it was (its SHA-256 at intake), when and where it was taken, and where the
-- original lies; never the picture itself. source_key and content_hash are the picture's SHA-256: the same picture under another name is known.
CREATE TABLE photos (
  id TEXT PRIMARY KEY,
  import_id TEXT NOT NULL REFERENCES imports(id),
  source_key TEXT NOT NULL UNIQUE,
  content_hash TEXT NOT NULL,
  date TEXT NOT NULL DEFAULT '',    -- by the camera's clock; '' where the picture doesn't say
  time TEXT NOT NULL DEFAULT '',
  file_name TEXT NOT NULL,          -- private: within the folder
  folder TEXT NOT NULL,             -- private: where it lay at intake
  bytes INTEGER NOT NULL,
  position BLOB CHECK (position IS NULL OR (length(position) = 60 AND hex(substr(position, 1, 6)) = '0001E6100000'))  -- private: NULL where the picture doesn't say
) STRICT;
CREATE INDEX photos_by_date ON photos(date);

INSERT INTO geometry_columns (f_table_name, f_geometry_column, geometry_type, coord_dimension, srid, spatial_index_enabled) VALUES ('photos', 'position', 1, 2, 4326, 0);
INSERT INTO private_columns (table_name, column_name) VALUES ('photos','file_name'), ('photos','folder'), ('photos','position');
