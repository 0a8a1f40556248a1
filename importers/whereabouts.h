#pragma once
/// What to believe about a layer's coordinates, seen from where the study lies.
#include <optional>
#include <span>
#include <string>

#include "shared/geo/crs.h"
#include "shared/layer/layer.h"

namespace leeward::importers {

/// What is known before the file is read.
struct Whereabouts {
  Bbox study;            ///< longitude and latitude (lonLatBox), empty = not known
  std::string crs;       ///< said by the person: outranks what the file says; "" = nothing said
  bool swapped = false;  ///< said by the person: the coordinates stand as north, east
};

struct Believed {
  Crs crs;
  bool swapped = false;
  bool was_guessed = false;  ///< neither the file nor the person said so
  std::string remark;        ///< what was assumed and how far it puts the data from the study; "" if nothing
};

/// The system that points are in. What a person said counts; else what the file says, unless the coordinates can't be in it or would
/// lie far from the study (50 km and the study's own diagonal); else the one system that puts them there, which is said in the remark.
/// CrsMismatch where several would (named in the mend), where none does and the file doesn't say or can't be right.
Result<Believed> believe(std::span<const Point> points, const Crs& said_by_file, const Whereabouts& known, const std::string& file);

/// believe() for a layer that has shapes: its CRS is set, swapped coordinates are put right, longitudes on both sides of the
/// 180th meridian are brought together. Nothing without shapes.
Result<std::optional<Believed>> settleCoordinates(Layer& layer, const Whereabouts& known, const std::string& file);

}  // namespace leeward::importers
