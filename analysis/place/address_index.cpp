#include "analysis/place/address_index.h"

#include <cmath>
#include <map>

#include "analysis/place/index_data.h"
#include "shared/base/text.h"

namespace leeward::analysis {
namespace {

constexpr double kNodeGridM = 0.5;

Result<void> sameLength(std::size_t rows, std::initializer_list<std::pair<const char*, std::size_t>> columns) {
  for (const auto& [name, size] : columns) {
    if (size == rows) continue;
    return Problem{ProblemCode::InvalidArgument, std::string("the column \"") + name + "\" has another length than the others", "", ""};
  }
  return {};
}

/// Optional columns: either empty or as long as the others.
std::size_t lengthOr(std::size_t size, std::size_t rows) { return size == 0 ? rows : size; }

Result<void> checkColumns(const AddressPoints& p, const StreetRanges& r) {
  const std::size_t n = p.size();
  LEEWARD_TRY(sameLength(n, {{"number", p.number.size()}, {"street", p.street.size()}, {"position", p.position.size()},
                             {"unit", lengthOr(p.unit.size(), n)}, {"place", lengthOr(p.place.size(), n)},
                             {"postcode", lengthOr(p.postcode.size(), n)}}));
  const std::size_t m = r.size();
  LEEWARD_TRY(sameLength(m, {{"name", r.name.size()}, {"l_from", r.l_from.size()}, {"l_to", r.l_to.size()}, {"r_from", r.r_from.size()},
                             {"r_to", r.r_to.size()}, {"lines", r.lines.size()}, {"l_place", lengthOr(r.l_place.size(), m)},
                             {"r_place", lengthOr(r.r_place.size(), m)}, {"l_postcode", lengthOr(r.l_postcode.size(), m)},
                             {"r_postcode", lengthOr(r.r_postcode.size(), m)}, {"from_node", lengthOr(r.from_node.size(), m)},
                             {"to_node", lengthOr(r.to_node.size(), m)}}));
  if (n + m == 0) {
    return Problem{ProblemCode::BadData, "there is no reference to place addresses on", "",
                   "give a file of address points, of streets with number ranges, or both"};
  }
  return {};
}

/// Gathers points and lines into streets.
class Builder {
 public:
  explicit Builder(IndexData& index) : index_(index) {}

  Result<void> run(Progress& progress) {
    LEEWARD_TRY(addPoints(progress));
    LEEWARD_TRY(addRanges(progress));
    for (Street& street : index_.streets) {
      std::sort(street.points.begin(), street.points.end(), [](const NumberedPoint& a, const NumberedPoint& b) {
        return a.number != b.number ? a.number < b.number : a.row < b.row;
      });
      for (auto* nodes : {&street.nodes, &street.named_nodes}) {
        std::sort(nodes->begin(), nodes->end());
        nodes->erase(std::unique(nodes->begin(), nodes->end()), nodes->end());
      }
    }
    return {};
  }

 private:
  Result<void> addPoints(Progress& progress) {
    const AddressPoints& p = index_.points;
    index_.point_suffix.resize(p.size());
    if (!p.place.empty()) index_.point_place.resize(p.size());
    for (std::uint32_t row = 0; row < p.size(); ++row) {
      if (row % 65536 == 0) LEEWARD_TRY(progress.checkStop());
      const Point at = p.position[row];
      if (!std::isfinite(at.x) || !std::isfinite(at.y)) continue;
      const std::uint32_t place = p.place.empty() ? 0 : placeId(p.place[row]);
      if (!p.place.empty()) index_.point_place[row] = place;
      if (!p.postcode.empty() && !p.postcode[row].empty()) index_.by_postcode[p.postcode[row].substr(0, 5)].push_back(row);
      const auto number = readHouseNumber(p.number[row]);
      Street* street = streetOf(p.street[row], place);
      if (street == nullptr) continue;
      street->box.add(at);
      if (!number) continue;
      index_.point_suffix[row] = number->prefix.empty() ? number->suffix : number->prefix + "|" + number->suffix;
      street->points.push_back({number->number, number->last, row});
    }
    return {};
  }

  Result<void> addRanges(Progress& progress) {
    const StreetRanges& r = index_.ranges;
    for (std::uint32_t row = 0; row < r.size(); ++row) {
      if (row % 65536 == 0) LEEWARD_TRY(progress.checkStop());
      if (!r.lines.hasVertex(row)) continue;
      const auto left = readSide(r.l_from[row], r.l_to[row]);
      const auto right = readSide(r.r_from[row], r.r_to[row]);
      const std::uint32_t left_place = r.l_place.empty() ? 0 : placeId(r.l_place[row]);
      const std::uint32_t right_place = r.r_place.empty() ? left_place : placeId(r.r_place[row]);
      addSide(row, left_place, left, true);
      addSide(row, right_place, right, false);
    }
    return {};
  }

  void addSide(std::uint32_t row, std::uint32_t place, const std::optional<SideRange>& range, bool left) {
    const StreetRanges& r = index_.ranges;
    Street* street = streetOf(r.name[row], place);
    if (street == nullptr) return;
    if (range) street->sides.push_back({*range, row, left});
    if (street->lines.empty() || street->lines.back() != row) street->lines.push_back(row);
    street->box.add(r.lines.bbox(row));
    const std::span<const Point> line = r.lines.path(row, 0);
    for (const Point end : {line.front(), line.back()}) street->nodes.push_back(node(positionKey(end), end));
    if (!r.from_node.empty() && !r.from_node[row].empty()) street->named_nodes.push_back(node('#' + r.from_node[row], line.front()));
    if (!r.to_node.empty() && !r.to_node[row].empty()) street->named_nodes.push_back(node('#' + r.to_node[row], line.back()));
  }

  Street* streetOf(const std::string& name, std::uint32_t place) {
    // A name is worked out once: reference files repeat each some dozens of times.
    const auto [known, fresh] = parts_.try_emplace(name);
    if (fresh) known->second = splitStreet(streetWords(name));
    const StreetParts& parts = known->second;
    if (parts.core.empty()) return nullptr;
    const std::string key = parts.before + '|' + parts.core + '|' + parts.type + '|' + parts.after + '|' + std::to_string(place);
    const auto [at, is_new] = ids_.try_emplace(key, static_cast<std::uint32_t>(index_.streets.size()));
    if (is_new) {
      Street street;
      street.parts = parts;
      street.name = std::string(trim(name));
      street.place = place;
      index_.streets.push_back(std::move(street));
    }
    return &index_.streets[at->second];
  }

  std::uint32_t placeId(const std::string& place) {
    const auto [known, fresh] = place_ids_.try_emplace(place);
    if (fresh) known->second = index_.places.add(comparablePlace(place));
    return known->second;
  }

  static std::string positionKey(Point at) {
    return std::to_string(std::llround(at.x / kNodeGridM)) + ' ' + std::to_string(std::llround(at.y / kNodeGridM));
  }

  std::uint32_t node(std::string key, Point at) {
    const auto [found, is_new] = nodes_.try_emplace(std::move(key), static_cast<std::uint32_t>(index_.nodes.size()));
    if (is_new) index_.nodes.push_back(at);
    return found->second;
  }

  IndexData& index_;
  std::unordered_map<std::string, StreetParts> parts_;
  std::unordered_map<std::string, std::uint32_t> ids_;
  std::unordered_map<std::string, std::uint32_t> place_ids_;
  std::unordered_map<std::string, std::uint32_t> nodes_;
};

}  // namespace

std::uint32_t TextPool::add(const std::string& text) {
  const auto [at, is_new] = ids_.try_emplace(text, static_cast<std::uint32_t>(texts_.size()));
  if (is_new) texts_.push_back(text);
  return at->second;
}

std::string comparablePlace(std::string_view place) {
  std::string key;
  for (const std::string& word : streetWords(place)) key += comparable(word);
  return key;
}

Result<AddressIndex> AddressIndex::build(AddressPoints points, StreetRanges ranges, Progress& progress) {
  LEEWARD_TRY(checkColumns(points, ranges));
  auto data = std::make_unique<IndexData>();
  data->points = std::move(points);
  data->ranges = std::move(ranges);
  progress.report(0.0, "gathering streets");
  LEEWARD_TRY(Builder(*data).run(progress));
  progress.report(0.5, "indexing street names");
  buildRetrieval(*data);
  findNeighbours(*data);
  LEEWARD_TRY(progress.checkStop());
  progress.report(0.9, "measuring uncertainty");
  measureUncertainty(*data);
  progress.report(1.0);
  return AddressIndex(std::move(data));
}

AddressIndex::AddressIndex(std::unique_ptr<IndexData> data) : data_(std::move(data)) {}
AddressIndex::AddressIndex(AddressIndex&&) noexcept = default;
AddressIndex& AddressIndex::operator=(AddressIndex&&) noexcept = default;
AddressIndex::~AddressIndex() = default;
std::size_t AddressIndex::streets() const { return data_->streets.size(); }
const AddressPoints& AddressIndex::points() const { return data_->points; }
const StreetRanges& AddressIndex::ranges() const { return data_->ranges; }

}  // namespace leeward::analysis
