#include "viewer/study/judge.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <set>

#include <fmt/format.h>

#include "shared/base/text.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/public_layers.h"

namespace leeward::study {
namespace {

constexpr double kFarKm = 50;
constexpr std::size_t kAddressesLookedAt = 300, kFewestAddresses = 20;

/// Kilometres between two boxes in lon, lat (near enough to tell a neighbour from another town); 0 if they meet.
double kilometresBetween(const Bbox& one, const Bbox& other) {
  constexpr double kKmPerDegree = 111.2;
  const double aside = std::max({0.0, other.min_x - one.max_x, one.min_x - other.max_x}) * std::cos(one.center().y * std::numbers::pi / 180);
  const double up = std::max({0.0, other.min_y - one.max_y, one.min_y - other.max_y});
  return std::hypot(aside, up) * kKmPerDegree;
}

/// Words of three letters and more, in lower case.
std::vector<std::string> lettersIn(const std::string& text) {
  std::vector<std::string> words(1);
  for (const char c : lowerAscii(text)) {
    if ((c >= 'a' && c <= 'z') || static_cast<unsigned char>(c) >= 0x80) words.back() += c;
    else if (!words.back().empty()) words.emplace_back();
  }
  std::erase_if(words, [](const std::string& word) { return word.size() < 3; });
  return words;
}

/// The words by which streets are told apart: not those that several names end with (types), nor directions.
std::set<std::string> tellingWords(const std::vector<std::string>& names) {
  constexpr std::size_t kEndsMany = 5;
  constexpr std::array<std::string_view, 6> kDirections = {"north", "south", "east", "west", "old", "new"};
  const std::set<std::string> different(names.begin(), names.end());
  std::map<std::string, std::size_t> ends;
  std::set<std::string> words;
  for (const auto& name : different) {
    const auto letters = lettersIn(name);
    words.insert(letters.begin(), letters.end());
    if (letters.size() > 1) ++ends[letters.back()];
  }
  std::erase_if(words, [&](const std::string& word) {
    const auto found = ends.find(word);
    return (found != ends.end() && found->second >= kEndsMany) || std::ranges::find(kDirections, word) != kDirections.end();
  });
  return words;
}

Result<std::vector<std::string>> streetNames(RunContext& context, Progress& progress) {
  for (const auto& [kind, column] : {std::pair("streets", "name"), {"premises", "street"}}) {
    const auto source = context.study.sources.find(kind);
    if (source == context.study.sources.end()) continue;
    LEEWARD_ASSIGN(layer, sourceLayer(context, kind, progress.part(0, 1)));
    return textsOf(layer.table, column);
  }
  return std::vector<std::string>{};
}

}  // namespace

Result<void> checkLies(RunContext& context, const std::string& kind, const std::string& file, const Layer& layer, Progress& progress) {
  LEEWARD_ASSIGN(box, lonLatExtent(layer));
  LEEWARD_ASSIGN(extent, studyExtent(context, progress, kind));
  if (box.isEmpty() || extent.isEmpty()) return {};
  const double away = kilometresBetween(extent, box);
  if (away <= kFarKm) return {};
  return Problem{ProblemCode::BadData,
                 fmt::format("this file lies {:.0f} km from the study (around {:.3f}, {:.3f}; the study around {:.3f}, {:.3f}); nothing was changed", away, box.center().y, box.center().x,
                             extent.center().y, extent.center().x),
                 file, "Check that it is this area's file and that its reference system is right (--crs EPSG:n); or, if you are sure, say --anyway"};
}

Result<void> checkStreets(RunContext& context, const std::string& file, const ImportBatch& batch, Progress& progress) {
  std::set<std::string> addresses;
  for (const auto& [entity, table] : batch.rows) {
    if (entity != Entity::Looks && entity != Entity::Sightings) continue;
    for (auto& address : textsOf(table, "address")) {
      if (!lettersIn(address).empty() && addresses.size() < kAddressesLookedAt) addresses.insert(std::move(address));
    }
  }
  if (addresses.size() < kFewestAddresses) return {};
  LEEWARD_ASSIGN(names, streetNames(context, progress));
  const auto telling = tellingWords(names);
  if (telling.empty()) return {};
  const auto known = static_cast<std::size_t>(std::ranges::count_if(addresses, [&](const std::string& address) {
    return std::ranges::any_of(lettersIn(address), [&](const std::string& word) { return telling.contains(word); });
  }));
  if (known * 10 >= addresses.size() * 3) return {};
  return Problem{ProblemCode::BadData, fmt::format("of {} addresses looked at only {} name a street of this study; it looks like another town's file. Nothing was taken in", addresses.size(), known), file,
                 "Check that it is this area's file and that the address column is right (--map address=Column); or, if you are sure, say --anyway"};
}

}  // namespace leeward::study
