#pragma once
/// Where one was: kept beside the person's settings a moment after every step, so that a window that was killed opens again at the same place.
#include <QString>
#include <filesystem>
#include <optional>

#include "shared/geo/geometry.h"
#include "viewer/window/style.h"

namespace leeward::window {

struct Memory {
  std::filesystem::path folder;       ///< of the study; empty = none was open
  QString question = QStringLiteral("next");
  std::string block_id;               ///< "" = none
  std::optional<Point> centre;        ///< of the map, in the study's frame
  double metres_per_pixel = 0;
  Look look;
};

/// Defaults where nothing was kept or it can't be read.
Memory remember();
/// Written beside and renamed in; a disk that is full costs only the memory.
void keep(const Memory& memory);

}  // namespace leeward::window
