#include "importers/what_is_it.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "importers/column_map.h"
#include "importers/nearest_name.h"
#include "importers/values.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

constexpr double kClearlyBetter = 0.25;
constexpr double kSureEnough = 0.6;  ///< of the other kind, before a file is refused for it
constexpr std::size_t kValuesLookedAt = 200;

/// Fields that only one kind has, each with how much it speaks for it.
struct Telling {
  std::string_view field;
  double weight;
};
constexpr std::array<Telling, 13> kOfVisits = {{{"look", 0.4}, {"why_here", 0.4}, {"door_result", 0.5}, {"dogs_seen", 0.3}, {"dogs_met", 0.4}, {"permission_by", 0.4}, {"body_condition", 0.5},
                                                {"done", 0.4}, {"treatment", 0.4}, {"outcome", 0.3}, {"return_by", 0.3}, {"dog_name", 0.3}, {"note_left", 0.3}}};
constexpr std::array<Telling, 3> kOfSightings = {{{"what", 0.6}, {"source", 0.4}, {"count", 0.2}}};

bool isCheck(const ColumnMap& map, const Pick& pick) {
  const Field* field = findField(map.kind, pick.field);
  return field != nullptr && field->type == FieldType::Check;
}

double tellingOf(const ColumnMap& map, std::span<const Telling> fields, std::vector<std::string>& named) {
  double sum = 0;
  for (const auto& [field, weight] : fields) {
    if (const Pick* pick = map.find(field)) sum += weight * pick->confidence, named.push_back(pick->heading);
  }
  if (map.kind == Kind::Visits) {
    for (const Pick& pick : map.picks) {
      if (isCheck(map, pick)) sum += 0.2 * pick.confidence, named.push_back(pick.heading);
    }
  }
  return std::min(1.0, sum);
}

/// Share of the columns with values that the kind has a use for, each by how sure its field is.
double explained(const ColumnMap& map, const Table& table) {
  double used = 0;
  std::size_t filled = 0;
  for (const Pick& pick : map.picks) used += pick.confidence;
  for (const Column& column : table.columns()) filled += samplesOf(column).empty() ? 0 : 1;
  return filled == 0 ? 0 : std::min(1.0, used / static_cast<double>(filled));
}

std::vector<std::string> shownOf(const ColumnMap& map, std::initializer_list<std::string_view> fields) {
  for (const auto field : fields) {
    if (const Pick* pick = map.find(field); pick != nullptr && !pick->samples.empty()) return {pick->heading + ": " + join(pick->samples, " | ")};
  }
  for (const Pick& pick : map.picks) {
    if (!pick.samples.empty()) return {pick.heading + ": " + join(pick.samples, " | ")};
  }
  return {};
}

std::string hasWords(std::vector<std::string> headings) {
  if (headings.empty()) return "nothing in it tells the kind";
  if (headings.size() > 4) headings.resize(4);
  return "it has " + join(headings, ", ");
}

KindGuess crewGuess(Kind kind, const Table& table, bool has_shapes) {
  const ColumnMap map = guessColumns(kind, table);
  std::vector<std::string> named;
  const double telling = kind == Kind::Visits ? tellingOf(map, kOfVisits, named) : tellingOf(map, kOfSightings, named);
  const double share = explained(map, table);
  const bool usable = has_shapes ? map.find("date") != nullptr : checkRequired(map, table).ok();
  return {kindName(kind), usable ? 0.5 * telling + 0.5 * share : 0.2 * share, hasWords(named), shownOf(map, {"address", "notes", "date"})};
}

/// A list of what came in, went out or lies on a van: it says of each thing how it moved, and of no place.
KindGuess stockGuess(const Table& table) {
  const ColumnMap map = guessColumns(Kind::Stock, table);
  std::vector<std::string> named;
  for (const auto field : {"move", "item", "quantity", "van", "use_by"}) {
    if (const Pick* pick = map.find(field)) named.push_back(pick->heading);
  }
  if (map.find("move") == nullptr || !checkRequired(map, table).ok()) return {"stock", 0, "", {}};
  return {"stock", 0.5 * map.find("move")->confidence + 0.5 * explained(map, table), hasWords(named), shownOf(map, {"item"})};
}

/// Address points: a number and a street (or an address) a row, and no day.
KindGuess premisesGuess(const Table& table, bool has_shapes) {
  ColumnMap map = guessColumns(Kind::Premises, table);
  const ColumnMap crew = guessColumns(Kind::Visits, table);
  const bool usable = checkRequired(map, table).ok() && (has_shapes || (map.find("lon") != nullptr && map.find("lat") != nullptr));
  const bool dated = crew.find("date") != nullptr && checkRequired(crew, table).ok();
  std::vector<std::string> named;
  for (const auto field : {"number", "street", "address", "unit", "lon", "lat"}) {
    if (const Pick* pick = map.find(field)) named.push_back(pick->heading);
  }
  const double share = explained(map, table);
  // Such files bring many columns of their own; number, street and place are what counts.
  return {"premises", usable ? (dated ? 0.35 : 0.65) + 0.3 * share : 0.2 * share, hasWords(named), shownOf(map, {"address", "street"})};
}

double shareWith(const std::vector<std::string>& values, const auto& test) {
  return values.empty() ? 0 : static_cast<double>(std::ranges::count_if(values, test)) / static_cast<double>(values.size());
}

std::vector<std::string> firstValues(const Column& column) {
  std::vector<std::string> values;
  for (std::size_t row = 0; row < column.size() && values.size() < kValuesLookedAt; ++row) {
    if (auto text = column.asText(row); !trim(text).empty()) values.emplace_back(trim(text));
  }
  return values;
}

/// The digits of a census code, without "1500000US" or the like in front; 0 if it isn't one.
std::size_t censusDigits(std::string_view text) {
  if (const auto us = text.find("US"); us != std::string_view::npos && us > 0) text.remove_prefix(us + 2);
  return !text.empty() && std::ranges::all_of(text, isDigit) ? text.size() : 0;
}

/// Of a column of census codes the number of their digits (a lost leading zero counts as there); 0 if it holds none.
std::size_t codeLength(const Column& column) {
  const auto values = firstValues(column);
  for (const std::size_t digits : {15U, 12U, 11U}) {
    if (shareWith(values, [&](const std::string& value) { return censusDigits(value) == digits || (digits > 11 && censusDigits(value) == digits - 1); }) >= 0.9 &&
        std::set<std::string>(values.begin(), values.end()).size() * 10 >= values.size() * 9) {
      return digits;
    }
  }
  return 0;
}

KindGuess censusGuess(const Table& table) {
  KindGuess guess{"census", 0, "", {}};
  std::size_t counts = 0;
  for (const Column& column : table.columns()) {
    const auto values = firstValues(column);
    if (codeLength(column) > 0 && guess.shown.empty()) guess.shown = {column.name() + ": " + join(samplesOf(column), " | ")};
    else counts += shareWith(values, [](const std::string& value) { return parseNumber(value).has_value() || value.starts_with('-'); }) > 0.5 ? 1 : 0;
  }
  if (guess.shown.empty() || counts == 0) return guess;
  guess.confidence = std::min(0.9, 0.6 + 0.4 * static_cast<double>(counts) / static_cast<double>(table.width()));
  guess.why = "census codes with columns of numbers";
  return guess;
}

KindGuess weatherGuess(const Table& table) {
  const ColumnMap map = guessColumns(Kind::Weather, table);
  if (map.find("date") == nullptr || map.find("tmax") == nullptr) return {"weather", 0, "", {}};
  return {"weather", 0.6 + (map.find("tmin") != nullptr ? 0.2 : 0) + 0.2 * explained(map, table), hasWords({map.find("date")->heading, map.find("tmax")->heading}),
          shownOf(map, {"tmax"})};
}

bool mentions(const std::string& text, std::initializer_list<std::string_view> words) {
  return std::ranges::any_of(words, [&](std::string_view word) { return text.find(word) != std::string::npos; });
}

/// How many of the words say water or greenery, over all text cells looked at.
double shareOfWords(const Table& table, std::initializer_list<std::string_view> words) {
  double best = 0;
  for (const Column& column : table.columns()) {
    if (column.kind() != Column::Kind::Text) continue;
    best = std::max(best, shareWith(firstValues(column), [&](const std::string& value) { return mentions(lowerAscii(value), words); }));
  }
  return best;
}

std::vector<KindGuess> areaGuesses(const Layer& layer, const std::string& name) {
  const Table& table = layer.table;
  const ColumnMap map = guessColumns(Kind::Blocks, table);
  const auto shown = shownOf(map, {"name", "id"});
  std::size_t digits = 0;
  for (const Column& column : table.columns()) digits = std::max(digits, codeLength(column));
  std::vector<KindGuess> guesses;
  const auto add = [&](const char* kind, double confidence, std::string why) { guesses.push_back({kind, confidence, std::move(why), shown}); };
  if (digits == 15) add("blocks", 0.9, "areas with the 15 digits of census blocks");
  if (digits == 12) add("areas", 0.88, "areas with the 12 digits of block groups");
  if (digits == 11) add("areas", 0.8, "areas with the 11 digits of census tracts");
  if (digits > 0) return guesses;
  const std::string hint = lowerAscii(name);
  const double water = shareOfWords(table, {"pond", "lake", "river", "creek", "reservoir", "stream", "marsh", "bay", "water", "canal", "brook"});
  const double green = shareOfWords(table, {"park", "playground", "forest", "grass", "tree", "garden", "meadow", "cemetery", "field", "wood", "common"});
  if (mentions(hint, {"block group", "blockgroup", "block_group", "tract"})) add("areas", 0.6, "areas; its name says census areas");
  else if (mentions(hint, {"block"})) add("blocks", 0.6, "areas; its name says blocks");
  if (mentions(hint, {"water", "hydro", "lake", "pond", "river"}) || water > 0.25) add("water", 0.6 + 0.2 * water, "areas whose words say water");
  if (mentions(hint, {"park", "vegetation", "green", "openspace", "open_space"}) || (green > 0.3 && green > water)) add("parks", 0.55 + 0.2 * green, "areas whose words say greenery");
  if (layer.rows() == 1) add("boundary", mentions(hint, {"boundary", "outline", "limit", "city"}) ? 0.85 : 0.75, "a single area");
  else if (mentions(hint, {"boundary", "outline"}) && layer.rows() < 3) add("boundary", 0.6, "few areas; its name says boundary");
  if (layer.rows() > 1 && layer.rows() <= 60) add("jurisdictions", map.find("name") != nullptr ? 0.58 : 0.45, "a few areas with names");
  if (mentions(hint, {"jurisdiction", "township", "neighborhood", "neighbourhood", "ward", "district", "zip"})) add("jurisdictions", 0.7, "areas; its name says districts");
  if (guesses.empty()) add("areas", 0.4, "areas, with nothing to tell which");
  return guesses;
}

GeometryKind kindOf(const Geometries& shapes) {
  for (std::size_t row = 0; row < shapes.size(); ++row) {
    if (shapes.kind(row) != GeometryKind::None) return shapes.kind(row);
  }
  return GeometryKind::None;
}

KindGuess streetGuess(const Layer& layer) {
  const ColumnMap map = guessColumns(Kind::Streets, layer.table);
  const bool ranged = map.find("l_from") != nullptr || map.find("r_from") != nullptr;
  if (map.find("name") == nullptr) return {"streets", 0.5, "lines without a column of names", {}};
  return {"streets", ranged ? 0.95 : 0.8, ranged ? "lines with street names and house numbers" : "lines with street names", shownOf(map, {"name"})};
}

}  // namespace

std::vector<KindGuess> whatIsIt(const Layer& layer, const std::string& name) {
  std::vector<KindGuess> guesses;
  const GeometryKind shapes = kindOf(layer.geometry);
  if (shapes == GeometryKind::Lines) {
    guesses = {streetGuess(layer), crewGuess(Kind::Visits, layer.table, true), crewGuess(Kind::Sightings, layer.table, true)};
    // Lines with a crew's columns are somebody's drawing of where they went.
    if (std::max(guesses[1].confidence, guesses[2].confidence) >= 0.4) guesses[0].confidence -= 0.3;
  } else if (shapes == GeometryKind::Areas) {
    guesses = areaGuesses(layer, name);
    if (auto premises = premisesGuess(layer.table, true); premises.confidence >= kSureEnough) guesses.push_back(std::move(premises));
  } else {
    const bool points = shapes == GeometryKind::Points;
    guesses = {crewGuess(Kind::Visits, layer.table, points), crewGuess(Kind::Sightings, layer.table, points), premisesGuess(layer.table, points)};
    if (shapes == GeometryKind::None) guesses.push_back(stockGuess(layer.table)), guesses.push_back(censusGuess(layer.table)), guesses.push_back(weatherGuess(layer.table));
  }
  for (KindGuess& guess : guesses) guess.confidence = std::round(guess.confidence * 100) / 100;
  std::erase_if(guesses, [](const KindGuess& guess) { return guess.confidence < 0.2; });
  std::ranges::stable_sort(guesses, std::greater<>(), &KindGuess::confidence);
  return guesses;
}

std::string_view familyOf(std::string_view kind) {
  constexpr std::array<std::string_view, 6> kAreas = {"blocks", "areas", "jurisdictions", "boundary", "water", "parks"};
  return std::ranges::find(kAreas, kind) != kAreas.end() ? "areas" : kind;
}

namespace {

/// A layer's rows at even distances, at most a few hundred: enough to tell a kind.
Layer sampleOf(const Layer& layer) {
  constexpr std::size_t kRows = 400;
  Layer sample;
  sample.name = layer.name;
  const std::size_t step = std::max<std::size_t>(1, layer.rows() / kRows);
  std::vector<std::size_t> rows;
  for (std::size_t row = 0; row < layer.rows(); row += step) {
    rows.push_back(row);
    if (layer.hasGeometry()) sample.geometry.addCopy(layer.geometry, row);
  }
  sample.table = layer.table.take(rows);
  return sample;
}

}  // namespace

Result<void> checkKind(std::string_view kind, const Layer& layer, const std::string& name) {
  const auto guesses = whatIsIt(sampleOf(layer), name);
  if (guesses.empty()) return {};
  const KindGuess& best = guesses.front();
  if (kind == "census" && layer.hasGeometry() && familyOf(best.kind) == familyOf("areas")) return {};  // figures often come with their areas
  double asked = 0;
  for (const KindGuess& guess : guesses) {
    if (familyOf(guess.kind) == familyOf(kind)) asked = std::max(asked, guess.confidence);
  }
  if (familyOf(best.kind) == familyOf(kind) || best.confidence < kSureEnough || best.confidence - asked < kClearlyBetter) return {};
  return Problem{ProblemCode::BadData, fmt::format("this looks like {} ({:.2f}: {}), not like {} ({:.2f}); nothing was taken in", best.kind, best.confidence, best.why, kind, asked), name,
                 fmt::format("Take it in as {}; or, if you are sure that it is {}, say --anyway", best.kind, kind)};
}

}  // namespace leeward::importers
