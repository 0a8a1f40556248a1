-- A refused row's own id (visit_id, sighting_id), so that a row that was corrected and taken in since isn't counted as refused.
ALTER TABLE refused_rows ADD COLUMN source_key TEXT NOT NULL DEFAULT '';
