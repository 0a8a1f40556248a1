// The target's own file; the sources of each room are listed in that room's CMakeLists.txt.
