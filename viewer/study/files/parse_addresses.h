#pragma once
/// `parse`: splits addresses into their elements.
#include <string>
#include <vector>

#include "shared/layer/layer.h"

namespace leeward::study {

struct ParseRequest {
  std::vector<std::string> texts;  ///< lines to split, or
  std::string file, column;        ///< a table and its column; its columns are kept in front
};

/// One row a line: the input's columns (for texts: `address`), one Text column for each element (missing where absent), `standard`.
Result<Layer> parseAddresses(const ParseRequest& request, Progress& progress);

}  // namespace leeward::study
