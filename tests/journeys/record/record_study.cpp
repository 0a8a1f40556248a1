#include "tests/journeys/record/record_study.h"

#include <map>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "importers/fields.h"
#include "shared/base/text.h"
#include "shared/table/csv.h"

namespace leeward::test {
namespace {

const std::vector<std::string>& logColumns() {
  static const std::vector<std::string> all = [] {
    std::vector<std::string> names = {"visit_id", "date", "time", "crew", "address", "look", "why_here", "door_result", "permission_by", "permission_for", "permission_until", "note_left",
                                      "dogs_seen", "dogs_met", "dog_name", "kind", "sex", "description", "body_condition", "body_scale", "done", "treatment", "promised", "return_by", "outcome",
                                      "referred_to"};
    for (const auto item : importers::conditionItems()) names.emplace_back(item);
    for (const auto item : importers::conditionItems()) names.push_back("left_" + std::string(item));
    return names;
  }();
  return all;
}

}  // namespace

RecordStudy::RecordStudy(std::size_t doors) : StudyFolder("The record") {
  const double width = 0.002 * static_cast<double>(doors + 2);
  put(beside("blocks.geojson"),
      fmt::format(R"({{"type":"FeatureCollection","features":[{{"type":"Feature","properties":{{"block_id":"990010001001001"}},"geometry":{{"type":"Polygon","coordinates":[[[-30,40],[{0},40],[{0},40.01],[-30,40.01],[-30,40]]]}}}}]}})",
                  -30 + width));
  std::string points = "id,number,street,unit,place,postcode,lon,lat\n";
  for (std::size_t door = 0; door < doors; ++door) points += fmt::format("P{0},{0},Elm St,,,,{1:.6f},40.005\n", 100 + door, -30 + 0.002 * static_cast<double>(door + 1));
  put(beside("points.csv"), points);
  for (const auto& [kind, file] : {std::pair("blocks", "blocks.geojson"), std::pair("premises", "points.csv")}) {
    const Ran taken = call("take-in", {kind, beside(file).string()});
    EXPECT_EQ(taken.status, 0) << taken.err;
  }
}

void Log::add(std::size_t door, const std::vector<std::string>& rows) {
  std::map<std::string, std::string> ids;
  for (const auto& text : rows) {
    const auto blank = text.find(' ');
    std::map<std::string, std::string> cells = {{"date", text.substr(0, blank)}, {"address", fmt::format("{} Elm St", 100 + door)}, {"look", "knock"}, {"why_here", "planned"},
                                                {"door_result", "welcomed"}, {"dogs_met", "1"}, {"dog_name", "Rex"}, {"kind", "dog"}};
    bool is_bare = false, only_left = false;
    std::map<std::string, std::string> said;
    for (const auto piece : split(blank == std::string::npos ? "" : std::string_view(text).substr(blank), ';')) {
      const std::string word(trim(piece));
      const auto equals = word.find('=');
      if (word == "bare") is_bare = true;
      else if (word == "only left") only_left = true;
      else if (word == "at=next") cells["address"] = fmt::format("{} Elm St", 101 + door);
      else if (equals != std::string::npos) said[word.substr(0, equals)] = word.substr(equals + 1);
    }
    for (const auto item : importers::conditionItems()) {
      if (!is_bare) cells[(only_left ? "left_" : "") + std::string(item)] = "met";
    }
    if (!is_bare && !only_left) cells["body_condition"] = "1", cells["body_scale"] = "five_ideal_first";
    static const std::map<std::string, std::string> kShort = {{"name", "dog_name"}, {"met", "dogs_met"}, {"seen", "dogs_seen"}, {"body", "body_condition"}, {"scale", "body_scale"}, {"door", "door_result"}};
    const auto visit = said.contains("v") ? said["v"] : fmt::format("own {}", ids.size());
    said.erase("v");
    const auto [id, is_new] = ids.try_emplace(visit, fmt::format("V{:05}", visits_));
    if (is_new) ++visits_;
    cells["visit_id"] = id->second;
    for (const auto& [name, value] : said) {
      const auto longer = kShort.find(name);
      cells[longer == kShort.end() ? name : longer->second] = value;
    }
    std::vector<std::string> row;
    for (const auto& column : logColumns()) row.push_back(cells[column]);
    rows_.push_back(std::move(row));
  }
}

std::string Log::csv() const {
  std::string text = join(logColumns(), ",") + "\n";
  for (const auto& row : rows_) {
    for (std::size_t i = 0; i < row.size(); ++i) text += (i == 0 ? "" : ",") + csvField(row[i]);
    text += "\n";
  }
  return text;
}

}  // namespace leeward::test
