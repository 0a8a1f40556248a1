#pragma once
/// `place`: geocodes a log of addresses on address points, street ranges, or both.
#include <string>
#include <vector>

#include "viewer/study/files/input.h"

namespace leeward::study {

struct PlaceLogRequest {
  std::string log;                                ///< table of addresses, FILE or FILE#LAYER
  std::string address, city, postcode;            ///< its columns; city and postcode optional
  std::string points, streets;                    ///< reference files; at least one
  std::string points_map, streets_map;            ///< corrections of guessed columns: "field=Column,..."
  std::string crs;                                ///< of reference tables that don't say
};

struct PlacedLog {
  Layer layer;       ///< the log's columns, then lon, lat (EPSG:4326), decision, placed_by, score, uncertainty_m,
                     ///< matched_address, matched_id, runner_up_score, why; points where placed_by isn't none
  std::string taken;  ///< what was taken for what in the reference files, for people
  std::size_t placed = 0, undecided = 0, none = 0;
  std::vector<std::string> remarks;
  std::vector<RefusedRow> refused;  ///< rows of the log without an address: decision none
};

/// One output row an input row, in order. Errors: InvalidArgument (no reference), those of reading; Cancelled.
Result<PlacedLog> placeLog(const PlaceLogRequest& request, Progress& progress);

}  // namespace leeward::study
