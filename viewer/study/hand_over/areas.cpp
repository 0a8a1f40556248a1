#include "viewer/study/hand_over/areas.h"

#include <algorithm>
#include <map>

#include <fmt/format.h>

#include "shared/base/text.h"
#include "shared/geo/overlay.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/book.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

constexpr std::size_t kTractDigits = 11, kGroupDigits = 12, kBlockDigits = 15;

bool allAre(const std::vector<std::string>& ids, std::size_t digits) {
  return !ids.empty() && std::ranges::all_of(ids, [&](const auto& id) { return id.size() == digits && allDigits(id); });
}

/// "Tract 2", "Tract 14.02": the last six digits with two decimals, as census tables name them.
std::string tractName(const std::string& id) {
  const auto number = parseInteger(id.substr(5)).value_or(0);
  return number % 100 == 0 ? fmt::format("Tract {}", number / 100) : fmt::format("Tract {}.{:02}", number / 100, number % 100);
}

Layer gathered(const Layer& from, const std::vector<std::pair<std::string, std::string>>& id_and_name) {
  std::map<std::string, std::vector<std::size_t>> rows;
  std::map<std::string, std::string> names;
  for (std::size_t row = 0; row < id_and_name.size(); ++row) rows[id_and_name[row].first].push_back(row), names[id_and_name[row].first] = id_and_name[row].second;
  Layer layer;
  layer.name = "areas";
  layer.crs = from.crs;
  std::vector<std::string> ids, shown;
  for (const auto& [id, members] : rows) {
    const Geometries whole = members.size() == 1 ? Geometries() : unionOf(from.geometry, members);
    layer.geometry.addCopy(members.size() == 1 ? from.geometry : whole, members.size() == 1 ? members.front() : 0);
    ids.push_back(id), shown.push_back(names[id]);
  }
  layer.table = TableMaker{}.texts("id", ids).texts("name", shown).done();
  return layer;
}

std::string chosen(const RunContext& context, const std::string& by) {
  if (!by.empty()) return by;
  for (const auto& kind : {std::string("areas"), context.study.outputs.changed_by}) {
    if (const Layer* layer = context.layer(kind); layer != nullptr && layer->hasGeometry()) return kind;
  }
  return "";
}

/// Areas of few doors become one.
Result<void> gatherSmall(ToldAreas& told, const std::vector<Point>& doors, Progress& progress) {
  std::vector<std::size_t> count(told.layer.rows());
  for (const auto area : told.of_door) {
    if (area >= 0) ++count[static_cast<std::size_t>(area)];
  }
  const auto small = std::ranges::count_if(count, [](std::size_t one) { return one < kFewDoors; });
  if (small == 0) return {};
  const auto ids = textsOf(told.layer.table, "id"), names = textsOf(told.layer.table, "name");
  std::vector<std::pair<std::string, std::string>> to;
  for (std::size_t row = 0; row < ids.size(); ++row) {
    if (count[row] < kFewDoors) to.emplace_back("small", "Areas of few doors, together");
    else to.emplace_back(ids[row], names[row]);
  }
  told.layer = gathered(told.layer, to);
  told.remarks.push_back(fmt::format("{} {} of under {} doors {} told as one.", small, small == 1 ? "area" : "areas", kFewDoors, small == 1 ? "is" : "are"));
  LEEWARD_ASSIGN(of_door, areaOf(&told.layer, doors, progress));
  told.of_door = std::move(of_door);
  return {};
}

}  // namespace

Result<ToldAreas> toldAreas(const RunContext& context, const std::vector<Point>& doors, const std::string& by, Progress& progress) {
  ToldAreas told;
  told.kind = chosen(context, by);
  if (told.kind.empty()) {
    told.words = "The whole study";
    told.of_door.assign(doors.size(), -1);
    return told;
  }
  const Layer* layer = context.layer(told.kind);
  if (layer == nullptr || !layer->hasGeometry()) {
    return Problem{ProblemCode::NotFound, fmt::format("the study has no area layer \"{}\"", told.kind), "study.toml", "Name another by --by, or take one in"};
  }
  const auto ids = textsOf(layer->table, "id");
  auto names = textsOf(layer->table, "name");
  names.resize(ids.size());
  std::vector<std::pair<std::string, std::string>> to;
  const bool is_census = allAre(ids, kGroupDigits) || allAre(ids, kBlockDigits) || allAre(ids, kTractDigits);
  if (told.kind == "blocks" && !is_census) {
    return Problem{ProblemCode::InvalidArgument, "blocks are too small to be told apart outside the team", "", "Name areas or jurisdictions by --by"};
  }
  for (std::size_t row = 0; row < ids.size(); ++row) {
    if (is_census) to.emplace_back(ids[row].substr(0, kTractDigits), tractName(ids[row].substr(0, kTractDigits)));
    else to.emplace_back(ids[row], names[row].empty() ? ids[row] : names[row]);
  }
  told.words = is_census ? "Census tracts" : layerLabel(told.kind);
  told.layer = gathered(*layer, to);
  LEEWARD_ASSIGN(of_door, areaOf(&told.layer, doors, progress));
  told.of_door = std::move(of_door);
  LEEWARD_TRY(gatherSmall(told, doors, progress));
  return told;
}

}  // namespace leeward::study
