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
  struct Edge {
    std::size_t from = 0, to = 0;  ///< 0-based rows
    double weight = 1;             ///< > 0, finite
  };

  /// From pairs of 0-based rows, taken one way as given; repeated pairs and pairs with self are dropped.
  /// InvalidArgument if a row is not below `rows`.
  static Result<Neighbours> fromEdges(std::size_t rows, std::span<const std::pair<std::size_t, std::size_t>> edges);
  /// The same with weights. InvalidArgument also for a weight that is not above 0, and for a pair that stands twice with two weights.
  static Result<Neighbours> fromWeightedEdges(std::size_t rows, std::span<const Edge> edges);
  /// From pairs of rows below `rows` that count both ways; any order, any may be repeated.
  static Neighbours fromPairs(std::size_t rows, std::span<const std::pair<std::uint32_t, std::uint32_t>> pairs);

  std::size_t size() const { return starts_.size() - 1; }
  /// How many (from, to) there are: twice the pairs where all are mutual.
  std::size_t links() const { return to_.size(); }
  /// Ascending.
  std::span<const std::uint32_t> of(std::size_t row) const {
    return std::span(to_).subspan(starts_[row], starts_[row + 1] - starts_[row]);
  }
  /// One weight for each of of(row), or empty where all weights are one.
  std::span<const double> weightsOf(std::size_t row) const {
    return weights_.empty() ? std::span<const double>() : std::span(weights_).subspan(starts_[row], starts_[row + 1] - starts_[row]);
  }

 private:
  std::vector<std::size_t> starts_{0};
  std::vector<std::uint32_t> to_;
  std::vector<double> weights_;  ///< empty = all one
};

/// Rows without any neighbour, ascending.
std::vector<std::size_t> islandsOf(const Neighbours& neighbours);
/// How many links have none the other way.
std::size_t oneWayLinks(const Neighbours& neighbours);

}  // namespace leeward::analysis
