cmake_policy(VERSION 3.22)
# Writes OUT, a header with a hash over the sources that decide results and how they are drawn, if it changed. Steps and outputs
# that older code made are stale then, in the command and in the window alike.
file(GLOB_RECURSE sources ${ROOT}/analysis/*.cpp ${ROOT}/analysis/*.h ${ROOT}/analysis/*.inc ${ROOT}/importers/*.cpp ${ROOT}/importers/*.h
     ${ROOT}/shared/*.cpp ${ROOT}/shared/*.h ${ROOT}/viewer/study/*.cpp ${ROOT}/viewer/study/*.h ${ROOT}/viewer/draw/*.cpp ${ROOT}/viewer/draw/*.h
     ${ROOT}/viewer/sheets/*.cpp ${ROOT}/viewer/sheets/*.h)
list(SORT sources)
set(all "")
foreach(source ${sources})
  file(SHA256 ${source} hash)
  string(APPEND all ${hash})
endforeach()
string(SHA256 stamp "${all}")
file(CONFIGURE OUTPUT ${OUT} CONTENT "#pragma once\nnamespace leeward::study {\ninline constexpr const char* kMethodStamp = \"@stamp@\";\n}\n" @ONLY)
