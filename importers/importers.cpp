// The target's own file; the sources of each importer are listed in this folder.
