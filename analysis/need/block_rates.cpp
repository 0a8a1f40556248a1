#include "analysis/need/block_rates.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>

#include "analysis/need/figure_fit.h"
#include "analysis/need/town_fit.h"
#include "analysis/patterns/distance_neighbours.h"
#include "analysis/regression/dispersion.h"

namespace leeward::analysis {

namespace {

constexpr std::size_t kPatches = 5;
constexpr std::size_t kNearest = 40;  // blocks of which a block's field may be told
constexpr std::array kWidths{0.0, 0.1, 0.2, 0.4, 0.8};
constexpr std::array kReaches{1.0, 2.0, 4.0};  // in usual distances to the nearest block
constexpr std::array kFieldShapes{0.5, 1.0, 2.0, 4.0, 8.0};
constexpr std::array kOwnShapes{0.35, 0.7, 1.4, 2.8, 5.6, 11.0, 45.0};
// What a part must add to the summed log score of blocks left out (about what a parameter costs by Akaike's count).
constexpr double kGain = 1;

struct Link {
  std::uint32_t block;
  float distance_m;
};

/// Blocks near each block at which planned looks were made.
struct Surroundings {
  std::vector<std::size_t> start;
  std::vector<Link> links;
  double spacing_m = 0;  ///< median distance to the nearest block
};

Result<Surroundings> surroundingsOf(const BlockRateRequest& request, Progress& progress) {
  Surroundings around;
  const std::size_t blocks = request.centre.size();
  LEEWARD_ASSIGN(nearest, nearestNeighbours(request.centre, kNearest, progress));
  std::vector<double> spacing;
  around.start.push_back(0);
  for (std::size_t b = 0; b < blocks; ++b) {
    double closest = std::numeric_limits<double>::infinity();
    for (const auto other : nearest.of(b)) {
      const double metres = std::hypot(request.centre[b].x - request.centre[other].x, request.centre[b].y - request.centre[other].y);
      closest = std::min(closest, metres);
      if (request.effective_doors[other] > 0) around.links.push_back({static_cast<std::uint32_t>(other), static_cast<float>(metres)});
    }
    if (std::isfinite(closest)) spacing.push_back(closest);
    around.start.push_back(around.links.size());
  }
  if (!spacing.empty()) {
    std::nth_element(spacing.begin(), spacing.begin() + static_cast<std::ptrdiff_t>(spacing.size() / 2), spacing.end());
    around.spacing_m = spacing[spacing.size() / 2];
  }
  return around;
}

/// Finds and expected finds of the blocks around, by nearness.
struct Nearby {
  std::vector<double> found, expected;
};

class Fitter {
 public:
  Fitter(const BlockRateRequest& request, Surroundings around) : request_(request), around_(std::move(around)), design_(figureDesign(request)) {
    for (std::size_t b = 0; b < request.found_doors.size(); ++b)
      if (request.effective_doors[b] > 0) looked_.push_back(b);
    const GammaTownFit town = fitGammaTown(request.found_doors, request.effective_doors, {request.assumed_rate, request.assumed_doors});
    start_shape_ = town.shape;
    setPatches();
  }

  BlockRates fit();

 private:
  struct Choice {
    double width = 0, reach_m = 0, field_shape = 1, own_shape = 1;
    double score = -std::numeric_limits<double>::infinity();
  };
  void setPatches();
  std::vector<double> expectedAll(const FigureFit& fit) const;
  std::vector<double> expectedLeftOut(double width) const;
  Nearby nearby(const std::vector<double>& mean, double reach_m) const;
  double field(const Nearby& near, std::size_t b, double shape) const { return (shape + near.found[b]) / (shape + near.expected[b]); }
  // Both factors together: variances of independent factors with mean 1.
  static double together(double own, double of_field) { return 1 / ((1 + 1 / own) * (1 + 1 / of_field) - 1); }
  double score(const std::vector<double>& mean, const Nearby* near, double field_shape, double own_shape) const;
  void tryWidth(double width, Choice& plain, Choice& best) const;
  void tryShapes(const std::vector<double>& mean, const Nearby* near, Choice& tried) const;
  void finish(const Choice& chosen, BlockRates& rates) const;

  const BlockRateRequest& request_;
  Surroundings around_;
  FigureDesign design_;
  std::vector<std::size_t> looked_;
  std::vector<std::uint8_t> patch_;
  double start_shape_ = 1;
};

// A Latin square of five patches over a grid of five by five.
void Fitter::setPatches() {
  Bbox box;
  for (const std::size_t b : looked_)
    if (std::isfinite(request_.centre[b].x)) box.add(request_.centre[b]);
  patch_.assign(request_.centre.size(), 0);
  const auto cell = [](double at, double low, double size) { return size > 0 ? std::min<std::size_t>(kPatches - 1, static_cast<std::size_t>((at - low) / size * kPatches)) : 0; };
  for (const std::size_t b : looked_)
    if (std::isfinite(request_.centre[b].x))
      patch_[b] = static_cast<std::uint8_t>((cell(request_.centre[b].x, box.min_x, box.width()) + 2 * cell(request_.centre[b].y, box.min_y, box.height())) % kPatches);
}

std::vector<double> Fitter::expectedAll(const FigureFit& fit) const {
  std::vector<double> mean(request_.found_doors.size());
  for (std::size_t b = 0; b < mean.size(); ++b) mean[b] = fit.expected(design_, b);
  return mean;
}

// Each looked-at block's mean from the record of the other patches.
std::vector<double> Fitter::expectedLeftOut(double width) const {
  std::vector<double> mean(request_.found_doors.size(), 0);
  for (std::size_t patch = 0; patch < kPatches; ++patch) {
    std::vector<std::uint8_t> used(mean.size(), 0);
    for (const std::size_t b : looked_) used[b] = patch_[b] != patch ? 1 : 0;
    const FigureFit fit = fitFigures(request_, design_, width, start_shape_, used);
    for (const std::size_t b : looked_)
      if (patch_[b] == patch) mean[b] = fit.expected(design_, b);
  }
  return mean;
}

Nearby Fitter::nearby(const std::vector<double>& mean, double reach_m) const {
  Nearby near{std::vector<double>(mean.size(), 0), std::vector<double>(mean.size(), 0)};
  for (std::size_t b = 0; b < mean.size(); ++b)
    for (std::size_t i = around_.start[b]; i < around_.start[b + 1]; ++i) {
      const auto [other, metres] = around_.links[i];
      const double weight = std::exp(-metres / reach_m);
      near.found[b] += weight * request_.found_doors[other];
      near.expected[b] += weight * mean[other] * request_.effective_doors[other];
    }
  return near;
}

double Fitter::score(const std::vector<double>& mean, const Nearby* near, double field_shape, double own_shape) const {
  // A spread that few counts can't tell is held near 2.
  const double z = std::log(own_shape / 2);
  double sum = -z * z / 2;
  for (const std::size_t b : looked_) {
    const double expected = mean[b] * (near != nullptr ? field(*near, b, field_shape) : 1) * request_.effective_doors[b];
    const double shape = near != nullptr ? together(own_shape, field_shape + near->found[b]) : own_shape;
    sum += countLogLikelihood(request_.found_doors[b], expected, shape);
  }
  return sum;
}

void Fitter::tryShapes(const std::vector<double>& mean, const Nearby* near, Choice& tried) const {
  Choice best = tried;
  for (const double field_shape : kFieldShapes) {
    for (const double own_shape : kOwnShapes) {
      const double there = score(mean, near, field_shape, own_shape);
      if (there > best.score) best.score = there, best.field_shape = field_shape, best.own_shape = own_shape;
    }
    if (near == nullptr) break;
  }
  tried = best;
}

void Fitter::tryWidth(double width, Choice& plain, Choice& best) const {
  const std::vector<double> left_out = expectedLeftOut(width);
  std::vector<std::uint8_t> all(left_out.size(), 1);
  const std::vector<double> full = expectedAll(fitFigures(request_, design_, width, start_shape_, all));
  Choice tried{.width = width};
  tryShapes(left_out, nullptr, tried);
  if (tried.score > plain.score) plain = tried;
  for (const double reach : kReaches) {
    if (!(around_.spacing_m > 0)) break;
    Choice with_field{.width = width, .reach_m = reach * around_.spacing_m};
    const Nearby near = nearby(full, with_field.reach_m);
    tryShapes(left_out, &near, with_field);
    if (with_field.score > best.score) best = with_field;
  }
}

void Fitter::finish(const Choice& chosen, BlockRates& rates) const {
  std::vector<std::uint8_t> all(request_.found_doors.size(), 1);
  const FigureFit fit = fitFigures(request_, design_, chosen.width, chosen.own_shape, all);
  rates.mean = expectedAll(fit);
  rates.shape.assign(rates.mean.size(), chosen.own_shape);
  if (chosen.reach_m > 0) {
    const Nearby near = nearby(rates.mean, chosen.reach_m);
    for (std::size_t b = 0; b < rates.mean.size(); ++b) {
      rates.mean[b] *= field(near, b, chosen.field_shape);
      rates.shape[b] = together(chosen.own_shape, chosen.field_shape + near.found[b]);
    }
  }
  // The level: finds expected of the looks made are the finds made, each block by what its count is worth.
  double level = 1, information = 0;
  for (int round = 0; round < 20; ++round) {
    double found = request_.assumed_rate * request_.assumed_doors, expected = request_.assumed_doors * std::exp(fit.intercept) * level;
    for (const std::size_t b : looked_) {
      const double mean = level * rates.mean[b] * request_.effective_doors[b];
      const double weight = 1 / (1 + mean / rates.shape[b]);
      found += weight * request_.found_doors[b];
      expected += weight * mean;
    }
    information = expected;
    level *= found / expected;
  }
  double sum = 0, doors = 0;
  for (double& mean : rates.mean) mean = std::min(mean * level, 1.0);
  for (const std::size_t b : looked_) sum += rates.mean[b] * request_.effective_doors[b], doors += request_.effective_doors[b];
  rates.town_mean = doors > 0 ? sum / doors : request_.assumed_rate;
  rates.mean_shape = information;
  rates.shape_between = chosen.own_shape;
  rates.reach_m = chosen.reach_m;
  for (std::size_t c = 0; c < design_.count(); ++c) rates.terms.push_back({design_.label[c], fit.coefficient[c]});
}

BlockRates Fitter::fit() {
  BlockRates rates;
  Choice plain, best;
  for (const double width : kWidths) {
    tryWidth(width, plain, best);
    if (design_.count() == 0) break;
  }
  const Choice& chosen = best.score > plain.score + kGain ? best : plain;
  finish(chosen, rates);
  rates.remarks = design_.remarks;
  return rates;
}

}  // namespace

Result<BlockRates> blockRates(const BlockRateRequest& request, Progress& progress) {
  Progress quiet = progress.quiet();
  LEEWARD_ASSIGN(around, surroundingsOf(request, quiet));
  return Fitter(request, std::move(around)).fit();
}

}  // namespace leeward::analysis
