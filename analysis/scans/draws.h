#pragma once
/// Events laid on areas by chance, as many as were observed: what a scan compares with.
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "analysis/scans/likelihood.h"
#include "shared/base/random.h"
#include "shared/base/result.h"

namespace leeward::analysis {

class ScanDraws {
 public:
  /// Poisson: each event falls on a cell in proportion to its weight (Walker 1977's alias table). `theta`: the weights are first multiplied by gamma
  /// draws of mean 1 and variance 1/theta, as a negative-binomial fit has it. Bernoulli: so many of the units of exposure are events, without putting back.
  ScanDraws(ScanModel model, std::vector<double> weights, std::uint64_t events, std::optional<double> theta);

  struct Room {
    std::vector<double> weights, share;
    std::vector<std::uint32_t> alias;
    std::vector<std::uint64_t> taken, drawn;
  };
  /// Writes a count a cell.
  void draw(Random& random, Room& room, std::vector<std::uint32_t>& counts) const;

 private:
  static void makeAlias(const std::vector<double>& weights, std::vector<double>& share, std::vector<std::uint32_t>& alias);
  void drawUnits(Random& random, Room& room, std::vector<std::uint32_t>& counts) const;

  ScanModel model_;
  std::vector<double> weights_;
  std::uint64_t events_;
  std::optional<double> theta_;
  std::vector<double> share_;
  std::vector<std::uint32_t> alias_;
  std::vector<std::uint32_t> cell_of_unit_;  ///< Bernoulli
};

}  // namespace leeward::analysis
