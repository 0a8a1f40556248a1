#pragma once
/// Who is next to whom: a list of neighbours for each row, self never among them.
#include <cstddef>
#include <cstdint>
#include <span>
#include <utility>
#include <vector>

#include "shared/base/result.h"

namespace leeward::analysis {

class Neighbours {
 public:
  /// From pairs of 0-based rows, taken one way as given; repeated pairs and pairs with self are dropped.
  /// InvalidArgument if a row is not below `rows`.
  static Result<Neighbours> fromEdges(std::size_t rows, std::span<const std::pair<std::size_t, std::size_t>> edges);

  std::size_t size() const { return starts_.size() - 1; }
  /// Ascending.
  std::span<const std::uint32_t> of(std::size_t row) const {
    return std::span(to_).subspan(starts_[row], starts_[row + 1] - starts_[row]);
  }

 private:
  std::vector<std::size_t> starts_{0};
  std::vector<std::uint32_t> to_;
};

}  // namespace leeward::analysis
