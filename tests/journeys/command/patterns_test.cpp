// Where finds gather, as steps of a study: a town of 15 x 15 blocks with eight doors each, laid out here, in which every door was knocked at
// once. In nine blocks half of the doors have a dog, elsewhere one door in forty. What must come out is known from how it was laid out.
#include <algorithm>
#include <functional>
#include <map>
#include <set>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

using nlohmann::json;

constexpr int kSide = 15, kDoors = 8;

std::string blockAt(int row, int column) { return fmt::format("990010000{:02d}{:02d}00", row, column); }
bool isHot(int row, int column) { return row >= 3 && row <= 5 && column >= 9 && column <= 11; }

std::string ringOf(int row, int column) {
  const double x = -30 + 0.0012 * column, y = 40 + 0.001 * row;
  return fmt::format("[[[{0:.6f},{1:.6f}],[{2:.6f},{1:.6f}],[{2:.6f},{3:.6f}],[{0:.6f},{3:.6f}],[{0:.6f},{1:.6f}]]]", x, y, x + 0.0012, y + 0.001);
}

/// The blocks as GeoJSON, with more properties if `more` gives any.
std::string blocksFile(const std::function<std::string(const std::string&)>& more) {
  std::string text;
  for (int row = 0; row < kSide; ++row) {
    for (int column = 0; column < kSide; ++column) {
      const auto id = blockAt(row, column);
      text += fmt::format(R"({}{{"type":"Feature","properties":{{"block_id":"{}"{}}},"geometry":{{"type":"Polygon","coordinates":{}}}}})", text.empty() ? "" : ",", id, more(id), ringOf(row, column));
    }
  }
  return R"({"type":"FeatureCollection","features":[)" + text + "]}";
}

/// A study of that town; `with_dogs` or none at all.
class LaidOutTown : public StudyFolder {
 public:
  explicit LaidOutTown(bool with_dogs);
};

LaidOutTown::LaidOutTown(bool with_dogs) : StudyFolder("Laid out") {
  std::string points = "id,number,street,unit,place,postcode,lon,lat\n", visits = "visit_id,date,address,look,why_here,door_result,dogs_seen,dogs_met\n";
  int door = 0;
  for (int row = 0; row < kSide; ++row) {
    for (int column = 0; column < kSide; ++column) {
      for (int i = 0; i < kDoors; ++i, ++door) {
        points += fmt::format("P{0},{1},Elm St,,,,{2:.6f},{3:.6f}\n", door, 100 + door, -30 + 0.0012 * column + 0.00012 * (i + 1), 40 + 0.001 * row + 0.0005);
        const bool dog = with_dogs && (isHot(row, column) ? i % 2 == 0 : door % 40 == 7);
        visits += fmt::format("V{0},2025-05-{1:02d},{2} Elm St,knock,planned,{3},{4},0\n", door, 1 + row, 100 + door, dog ? "declined" : "no_dog", dog ? 1 : 0);
      }
    }
  }
  put(beside("blocks.geojson"), blocksFile([](const auto&) { return std::string(); }));
  put(beside("points.csv"), points);
  put(beside("visits.csv"), visits);
  for (const auto& [kind, file] : {std::pair("blocks", "blocks.geojson"), std::pair("premises", "points.csv"), std::pair("visits", "visits.csv")}) {
    const Ran taken = call("take-in", {kind, beside(file).string()});
    EXPECT_EQ(taken.status, 0) << taken.err;
  }
  std::string settings = *readFile(path() / "study.toml");
  for (const auto& [from, to] : {std::pair<std::string, std::string>("# tables = [\"next.csv\", \"workbook.xlsx\"]", "tables = [\"patterns.csv\"]"), {"# as_of = 2025-09-30", "as_of = 2025-09-30"},
                                 {"# sheets = [\"coverage\", \"next\", \"need\", \"sightings\", \"changed\"]", "sheets = []"}, {"# briefs = [\"board\"]", "briefs = []"}}) {
    const auto at = settings.find(from);
    EXPECT_NE(at, std::string::npos) << from;
    if (at != std::string::npos) settings.replace(at, from.size(), to);
  }
  put(path() / "study.toml", settings);
}

json ranOf(const StudyFolder& study, std::vector<std::string> more = {}) {
  more.emplace_back("--json");
  const Ran ran = study.call("run", more);
  EXPECT_EQ(ran.status, 0) << ran.err;
  auto said = json::parse(ran.out, nullptr, false);
  EXPECT_TRUE(said.is_object()) << ran.out.substr(0, 300);
  return said;
}

std::string toldOf(const json& said, const std::string& topic, const char* what) {
  for (const auto& one : said["told"]) {
    if (one["topic"] == topic) return one[what];
  }
  ADD_FAILURE() << "nothing is told of " << topic;
  return "";
}

TEST(PatternsJourney, FindsAreHeldAgainstEffortAndToldWithWhatCantBeConcluded) {
  const LaidOutTown study(true);
  const json said = ranOf(study);
  const Table patterns = csvOfFile(study.path() / "out/patterns.csv");
  ASSERT_EQ(patterns.rows(), static_cast<std::size_t>(kSide * kSide));
  auto row_of = rowsBy(patterns, "block_id");
  std::size_t in_circle = 0, stand_out = 0;
  for (std::size_t row = 0; row < patterns.rows(); ++row) {
    in_circle += field(patterns, "circle", row) == "1" ? 1 : 0, stand_out += field(patterns, "stands_out", row) == "more" ? 1 : 0;
    EXPECT_NEAR(number(patterns, "effort", row), kDoors * 0.8, 1e-6);  // one knock in spring sees 0.8 (study.toml's starting values)
  }
  for (int row = 3; row <= 5; ++row) {
    for (int column = 9; column <= 11; ++column) {
      const auto at = row_of.at(blockAt(row, column));
      EXPECT_EQ(field(patterns, "found_doors", at), "4");
      EXPECT_EQ(field(patterns, "circle", at), "1");
      EXPECT_EQ(field(patterns, "stands_out", at), "more");
    }
  }
  EXPECT_LE(in_circle, 13U);  // the nine and what a circle round them can't leave out
  EXPECT_LE(stand_out, 25U);  // the nine and those that touch them
  EXPECT_GT(number(patterns, "nearby", row_of.at(blockAt(4, 10))), 3 * number(patterns, "nearby", row_of.at(blockAt(12, 2))));

  EXPECT_NE(toldOf(said, "circle", "finding").find("about once in a thousand"), std::string::npos) << toldOf(said, "circle", "finding");
  EXPECT_NE(toldOf(said, "even", "finding").find("lie by others like them"), std::string::npos);
  EXPECT_NE(toldOf(said, "explained", "finding").find("Neither heat nor a need index"), std::string::npos);
  for (const auto& one : said["told"]) {
    EXPECT_GT(one["caution"].get<std::string>().size(), 40U) << one;
    EXPECT_GT(one["method"].get<std::string>().size(), 20U) << one;
    for (const char* word : {"hotspot", "hot spot", "coldspot", "significant"}) EXPECT_EQ(one.dump().find(word), std::string::npos) << one;
  }

  // The verb on the same numbers says the same: the step adds nothing of its own.
  std::map<std::string, std::string> columns;
  for (const auto& [id, row] : row_of) columns[id] = fmt::format(R"(,"found":{},"effort":{})", field(patterns, "found_doors", row), field(patterns, "effort", row));
  put(study.beside("with.geojson"), blocksFile([&](const std::string& id) { return columns.at(id); }));
  const Ran bare = leeward({"hotspots", study.beside("with.geojson").string(), "--events", "found", "--exposure", "effort", "--statistic", "eb-moran", "--permutations", "9999", "--quiet"});
  ASSERT_EQ(bare.status, 0) << bare.err;
  const Table spots = csvOfText(bare.out);
  for (std::size_t row = 0; row < spots.rows(); ++row) {
    const auto at = row_of.at(field(spots, "block_id", row));
    EXPECT_NEAR(number(patterns, "gstar_z", at), number(spots, "gstar_z", row), 1e-5);
    EXPECT_NEAR(number(patterns, "moran_i", at), number(spots, "moran_i", row), 1e-5);
    EXPECT_NEAR(number(patterns, "p", at), number(spots, "gstar_p", row), 1e-7);
  }
}

TEST(PatternsJourney, OnlyStaleStepsAreMadeAgainAndThreadsChangeNothing) {
  const LaidOutTown study(true);
  ranOf(study);
  const auto table = study.path() / "out/patterns.csv";
  const std::string first = *readFile(table);
  const json second = ranOf(study);
  for (const auto& step : second["steps"]) EXPECT_TRUE(step["up_to_date"]) << step;
  const Ran traced = leeward({"trace", table.string(), "--study", study.text(), "--quiet"});
  EXPECT_EQ(traced.status, 0) << traced.err;

  std::filesystem::remove_all(study.path() / "cache");
  std::filesystem::remove(table);
  ranOf(study, {"--threads", "1"});
  EXPECT_TRUE(*readFile(table) == first);

  std::string settings = *readFile(study.path() / "study.toml");
  settings.replace(settings.find("# nearby_m = 300"), 16, "nearby_m = 150");
  put(study.path() / "study.toml", settings);
  std::set<std::string> made;
  const json third = ranOf(study);
  for (const auto& step : third["steps"]) {
    if (!step["up_to_date"].get<bool>()) made.insert(step["step"].get<std::string>());
  }
  EXPECT_TRUE(made.contains("Holding finds against effort"));
  EXPECT_FALSE(made.contains("Ranking blocks"));
  settings.replace(settings.find("nearby_m = 150"), 14, "neighbours = \"near\"");
  put(study.path() / "study.toml", settings);
  EXPECT_EQ(study.call("run").status, 3);
}

TEST(PatternsJourney, WithoutFindsNothingIsSaidButThat) {
  const LaidOutTown study(false);
  const json said = ranOf(study);
  ASSERT_EQ(said["told"].size(), 1U);
  EXPECT_NE(toldOf(said, "even", "finding").find("too few"), std::string::npos);
  EXPECT_NE(toldOf(said, "even", "caution").find("no sign of an even spread"), std::string::npos);
  const Table patterns = csvOfFile(study.path() / "out/patterns.csv");
  ASSERT_EQ(patterns.rows(), static_cast<std::size_t>(kSide * kSide));
  EXPECT_EQ(field(patterns, "p", 0), "");
}

}  // namespace
}  // namespace leeward::test
