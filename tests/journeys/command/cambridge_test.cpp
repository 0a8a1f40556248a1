// A real city end to end. Data: City of Cambridge, Massachusetts, open data (PDDL 1.0) with blocks and people of the US Census 2000.
// The visits are invented on real addresses; no one lives in them.
#include <cmath>
#include <cstdio>
#include <cstdlib>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "shared/ledger/ledger.h"
#include "tests/journeys/command/cambridge_log.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"
#include "viewer/study/run_study.h"

namespace leeward::test {
namespace {

namespace fs = std::filesystem;
constexpr std::size_t kLooks = 600;
constexpr std::uint64_t kSeed = 20250930;

double metresBetween(Point a, Point b) {
  // On a sphere of 6,371 km, near enough below a few hundred metres.
  const double east = (b.x - a.x) * std::cos(a.y * M_PI / 180), north = b.y - a.y;
  return std::hypot(east, north) * M_PI / 180 * 6371000;
}

void expectAtTheirDoors(const StudyFolder& study, const InventedLog& log) {
  const auto ledger = Ledger::open(study.ledger());
  ASSERT_OK(ledger);
  const auto looks = ledger->read(Entity::Looks), placements = ledger->read(Entity::Placements);
  ASSERT_OK(looks);
  ASSERT_OK(placements);
  ASSERT_EQ(looks->rows(), kLooks);
  const auto row_of = rowsBy(*placements, "id");
  double near = 0, sure_and_far = 0;
  for (std::size_t row = 0; row < looks->rows(); ++row) {
    const std::size_t at = row_of.at(field(*looks, "placement_id", row));
    if (field(*placements, "decision", at) != "placed") continue;
    const double off = metresBetween(log.where.at(field(*looks, "source_key", row)), {number(*placements, "lon", at), number(*placements, "lat", at)});
    if (off <= 30) near += 1;
    if (off > 100 && number(*placements, "score", at) >= 0.9) {
      sure_and_far += 1;
      std::printf("far off: \"%s\" became %s, %.0f m\n", field(*looks, "address", row).c_str(), field(*placements, "matched_address", at).c_str(), off);
    }
  }
  std::printf("%zu of %zu addresses typed otherwise than listed; %.1f %% within 30 m of the parcel's point, %.2f %% sure and over 100 m off\n", log.slips, kLooks,
              100 * near / kLooks, 100 * sure_and_far / kLooks);
  EXPECT_GE(near / kLooks, 0.93);
  EXPECT_LE(sure_and_far / kLooks, 0.005);
}

/// Width and height out of a PNG's header (ISO/IEC 15948, 11.2.2).
std::pair<unsigned, unsigned> sizeOfPng(const fs::path& file) {
  const auto bytes = readFile(file);
  if (!bytes.ok() || bytes->size() < 24 || bytes->substr(1, 3) != "PNG") return {0, 0};
  const auto number_at = [&](std::size_t at) {
    unsigned value = 0;
    for (std::size_t i = 0; i < 4; ++i) value = value << 8U | static_cast<unsigned char>((*bytes)[at + i]);
    return value;
  };
  return {number_at(16), number_at(20)};
}

TEST(CambridgeJourney, ARealCityEndToEnd) {
  LEEWARD_OUTSIDE_DATA(data, "data/cambridge");
  const auto settings = readFile(sourceFolder() / "tests/journeys/cambridge/study.toml");
  ASSERT_OK(settings);
  const StudyFolder study("Cambridge", *settings, {{"@DATA@", data.string()}});
  const InventedLog log = inventedLog(csvOfFile(data / "cambridge_address_truth_DERIVED.csv"), kLooks, kSeed);
  const Ran taken = study.call("take-in", {"visits", put(study.beside("visits.csv"), log.csv), "--json"});
  ASSERT_EQ(taken.status, 0) << taken.err;
  EXPECT_EQ(nlohmann::json::parse(taken.out)["added"], kLooks);

  const Ran run = study.call("run", {"--json"});
  ASSERT_EQ(run.status, 0) << run.err;
  std::printf("run: %.1f s\n", run.seconds);
  const auto totals = nlohmann::json::parse(run.out)["totals"];
  EXPECT_EQ(totals["blocks"], 886);  // as in the file
  EXPECT_EQ(totals["looks"], kLooks);
  expectAtTheirDoors(study, log);

  Progress quiet;
  const auto outcome = study::runStudy({.folder = study.path(), .as_of = {}, .seed = {}, .level = {}, .top_k = {}}, quiet);
  ASSERT_OK(outcome);
  double people = 0, with_heat = 0;
  const Table& blocks = outcome->findings->blocks.table;
  for (std::size_t row = 0; row < blocks.rows(); ++row) {
    people += std::isnan(number(blocks, "people", row)) ? 0 : number(blocks, "people", row);
    if (const double paved = number(blocks, "heat", row); !std::isnan(paved)) {
      EXPECT_GE(paved, 0);
      EXPECT_LE(paved, 1);
      with_heat += 1;
    }
  }
  EXPECT_EQ(people, 101355);  // US Census 2000, Cambridge city
  EXPECT_GT(with_heat, 800);

  const char* keep = std::getenv("LEEWARD_KEEP");  // a folder: the pictures stay there to be looked at
  const fs::path out = keep != nullptr ? fs::path(keep) : study.beside("pictures");
  fs::create_directories(out);
  for (const std::string kind : {"coverage", "next", "need", "changed"}) {
    for (const std::string ending : {"pdf", "svg", "png"}) {
      if (ending != "png" && kind != "coverage") continue;
      const fs::path file = out / (kind + "." + ending);
      const Ran sheet = study.call("sheet", {kind, "-o", file.string()});
      ASSERT_EQ(sheet.status, 0) << sheet.err;
      EXPECT_GT(fs::file_size(file), 20000U) << file;
      EXPECT_TRUE(isPrivate(file)) << file;
      const auto text = readFile(file);
      EXPECT_TRUE(ending != "pdf" || text->starts_with("%PDF-")) << file;
      EXPECT_TRUE(ending != "svg" || text->find("<svg") != std::string::npos) << file;
      EXPECT_TRUE(ending != "png" || std::min(sizeOfPng(file).first, sizeOfPng(file).second) >= 1000U) << file;
    }
  }
  const Ran brief = study.call("brief", {"board", "-o", (out / "board.pdf").string()});
  ASSERT_EQ(brief.status, 0) << brief.err;
  EXPECT_GT(fs::file_size(out / "board.pdf"), 20000U);
}

}  // namespace
}  // namespace leeward::test
