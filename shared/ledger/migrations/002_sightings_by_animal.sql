-- Animals that are no longer gathered leave; the sightings that link to them must be found without reading all.
CREATE INDEX sightings_by_animal ON sightings(animal_id);
