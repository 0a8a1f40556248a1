#include "analysis/disclosure/masking.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>
#include <numbers>

#include <fmt/format.h>
#include <nanoflann.hpp>

namespace leeward::analysis {
namespace {

constexpr std::uint32_t kTries = 400;
constexpr std::uint32_t kOuterNeighbours = 4;  ///< the ring ends at the (4k)-th neighbour

struct Cloud {
  std::vector<Point> points;
  std::vector<std::uint32_t> premises;
  std::size_t kdtree_get_point_count() const { return points.size(); }
  double kdtree_get_pt(std::size_t i, std::size_t axis) const { return axis == 0 ? points[i].x : points[i].y; }
  template <class Box>
  bool kdtree_get_bbox(Box&) const { return false; }
};
using Tree = nanoflann::KDTreeSingleIndexAdaptor<nanoflann::L2_Simple_Adaptor<double, Cloud>, Cloud, 2, std::uint32_t>;

struct Ring {
  double inner = 0, outer = 0;
  double areaSize() const { return outer * outer - inner * inner; }
  bool holds(double distance) const { return distance >= inner && distance <= outer; }
};

/// The premises of one published area (or all), to be searched.
class Field {
 public:
  explicit Field(Cloud cloud) : cloud_(std::move(cloud)), tree_(2, cloud_), rings_(cloud_.points.size()), has_ring_(cloud_.points.size()) {}

  std::size_t size() const { return cloud_.points.size(); }
  Point at(std::uint32_t i) const { return cloud_.points[i]; }

  /// Nearest first; ties by row, so that nothing hangs on how the tree was built.
  std::vector<std::pair<double, std::uint32_t>> nearest(Point p, std::size_t count) const {
    const double query[2] = {p.x, p.y};
    count = std::min(count, size());
    std::vector<std::uint32_t> row(count);
    std::vector<double> squared(count);
    count = tree_.knnSearch(query, count, row.data(), squared.data());
    return sorted(count, [&](std::size_t i) { return std::pair(std::sqrt(squared[i]), row[i]); });
  }
  std::vector<std::pair<double, std::uint32_t>> within(Point p, double radius) const {
    const double query[2] = {p.x, p.y};
    std::vector<std::pair<std::uint32_t, double>> found;
    nanoflann::SearchParams how;
    how.sorted = false;
    tree_.radiusSearch(query, radius * radius, found, how);
    return sorted(found.size(), [&](std::size_t i) { return std::pair(std::sqrt(found[i].second), found[i].first); });
  }

  const Ring& ringOf(std::uint32_t i, std::uint32_t k) {
    if (!has_ring_[i]) {
      const auto near = nearest(at(i), std::size_t{kOuterNeighbours} * k + 1);  // itself is the first
      rings_[i] = {near[std::min<std::size_t>(k, near.size() - 1)].first, near.back().first};
      has_ring_[i] = true;
    }
    return rings_[i];
  }

 private:
  template <class Get>
  static std::vector<std::pair<double, std::uint32_t>> sorted(std::size_t count, const Get& get) {
    std::vector<std::pair<double, std::uint32_t>> all;
    for (std::size_t i = 0; i < count; ++i) all.push_back(get(i));
    std::ranges::sort(all);
    return all;
  }
  Cloud cloud_;
  Tree tree_;
  std::vector<Ring> rings_;
  std::vector<bool> has_ring_;
};

double toUnit(const std::array<unsigned char, 32>& bytes, std::size_t from) {
  std::uint64_t bits = 0;
  for (std::size_t i = 0; i < 8; ++i) bits = bits << 8U | bytes[from + i];
  return static_cast<double>(bits >> 11U) * 0x1.0p-53;
}

class Masker {
 public:
  Masker(const PremisesField& field, const MaskingRule& rule, const MaskingKey& key) : rule_(rule), key_(key), place_(field.position.size()) {
    Cloud everything;
    std::map<std::int32_t, Cloud> by_area;
    for (std::uint32_t i = 0; i < field.position.size(); ++i) {
      everything.points.push_back(field.position[i]), everything.premises.push_back(i);
      Cloud& cloud = by_area[field.area.empty() ? 0 : field.area[i]];
      place_[i] = {field.area.empty() ? 0 : field.area[i], static_cast<std::uint32_t>(cloud.points.size())};
      cloud.points.push_back(field.position[i]), cloud.premises.push_back(i);
    }
    for (const Point other : field.others) everything.points.push_back(other), everything.premises.push_back(0);
    all_ = std::make_unique<Field>(std::move(everything));
    for (auto& [area, cloud] : by_area) fields_.emplace(area, std::make_unique<Field>(std::move(cloud)));
  }

  MaskedPoint mask(std::uint32_t premises) {
    MaskedPoint answer;
    answer.premises = premises;
    const auto [area, here] = place_[premises];
    Field& field = *fields_.at(area);
    if (field.size() < std::size_t{kOuterNeighbours} * rule_.k + 1) {
      answer.why_not = fmt::format("its area has {} premises, too few for {} to be mistaken for each other", field.size(), rule_.k);
      return answer;
    }
    const Ring ring = field.ringOf(here, rule_.k);
    answer.inner_m = ring.inner, answer.outer_m = ring.outer;
    if (ring.outer > rule_.largest_m) {
      answer.why_not = "it stands too much alone: no ring of a useful size holds enough other premises";
      return answer;
    }
    for (std::uint32_t attempt = 0; attempt < kTries && !answer.masked; ++attempt) attemptOne(field, here, ring, attempt, answer);
    if (!answer.masked) answer.why_not = "no place about it keeps clear of every home and leaves enough premises possible";
    return answer;
  }

 private:
  void attemptOne(Field& field, std::uint32_t here, const Ring& ring, std::uint32_t attempt, MaskedPoint& answer) const {
    const auto bytes = key_(answer.premises, attempt);
    const double distance = ringDistance(toUnit(bytes, 0), ring.inner, ring.outer), angle = 2 * std::numbers::pi * toUnit(bytes, 8);
    const Point truth = field.at(here), moved{truth.x + distance * std::cos(angle), truth.y + distance * std::sin(angle)};
    if (all_->nearest(moved, 1).front().first < rule_.clear_m) return;
    const auto near = field.within(moved, rule_.largest_m);
    std::uint32_t nearer = 0, candidates = 0;
    double whole = 0, largest = 0;
    for (std::size_t i = 0; i < near.size(); ++i) {
      if (near[i].first < distance && near[i].second != here) ++nearer;
      // The k nearest are out, and so is whatever stands too much alone to be masked at all.
      if (i < rule_.k) continue;
      const Ring& its = field.ringOf(near[i].second, rule_.k);
      if (its.outer > rule_.largest_m || !its.holds(near[i].first)) continue;
      ++candidates;
      const double weight = 1 / std::max(its.areaSize(), 1e-9);
      whole += weight, largest = std::max(largest, weight);
      if (near[i].first > distance * 8 && candidates > 8 * rule_.k) break;
    }
    if (nearer < rule_.k || candidates < rule_.k || largest * static_cast<double>(rule_.k) > whole) return;
    answer.masked = true, answer.position = moved;
    answer.nearer = nearer, answer.candidates = candidates, answer.largest_share = largest / whole;
  }

  const MaskingRule& rule_;
  const MaskingKey& key_;
  std::vector<std::pair<std::int32_t, std::uint32_t>> place_;
  std::unique_ptr<Field> all_;
  std::map<std::int32_t, std::unique_ptr<Field>> fields_;
};

}  // namespace

double ringDistance(double u, double inner_m, double outer_m) { return std::sqrt(u * (outer_m * outer_m - inner_m * inner_m) + inner_m * inner_m); }

std::uint32_t countNearer(const std::vector<Point>& premises, Point truth, Point masked) {
  const double limit = std::hypot(truth.x - masked.x, truth.y - masked.y);
  return static_cast<std::uint32_t>(std::ranges::count_if(premises, [&](Point p) { return std::hypot(p.x - masked.x, p.y - masked.y) < limit; }));
}

Result<std::vector<MaskedPoint>> maskPoints(const PremisesField& field, const std::vector<std::uint32_t>& which, const MaskingRule& rule, const MaskingKey& key, Progress& progress) {
  if (rule.k == 0 || (!field.area.empty() && field.area.size() != field.position.size()) ||
      std::ranges::any_of(which, [&](std::uint32_t one) { return one >= field.position.size(); })) {
    return Problem{ProblemCode::InvalidArgument, "points can't be masked among these premises", "", ""};
  }
  Masker masker(field, rule, key);
  std::vector<MaskedPoint> answers;
  for (std::size_t i = 0; i < which.size(); ++i) {
    if (i % 64 == 0) {
      LEEWARD_TRY(progress.checkStop());
      progress.report(static_cast<double>(i) / static_cast<double>(which.size()), "Masking points");
    }
    answers.push_back(masker.mask(which[i]));
  }
  progress.report(1);
  return answers;
}

}  // namespace leeward::analysis
