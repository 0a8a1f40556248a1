// The attacker (tests/red_team), who reads only finished files, against two quarters of public hand-overs; and against the same town with the gates
// open, to see that it is worth its name. Truth: the ledger, which it never sees.
#include <cmath>
#include <map>

#include <gtest/gtest.h>

#include "shared/table/csv.h"
#include "shared/base/random.h"
#include "tests/journeys/command/study_folder.h"
#include "tests/support/data.h"
#include "viewer/study/hand_over/draft.h"
#include "viewer/study/run/session.h"

namespace leeward::test {
namespace {

namespace fs = std::filesystem;
using study::kToldKinds;

/// What is true: counts by cell, and the home behind each point.
struct Truth {
  std::map<std::string, std::int64_t> count;  ///< "area|period|kind"
  std::map<std::string, std::string> home;    ///< "lon,lat" -> premises
};

std::string placeKey(double lon, double lat) { return fmt::format("{:.7f},{:.7f}", lon, lat); }

std::unique_ptr<study::Session> sessionOf(const StudyFolder& study) {
  Progress silent;
  auto session = study::openSession({.folder = study.path(), .as_of = {}, .seed = {}, .level = {}, .top_k = {}}, silent);
  EXPECT_OK(session);
  return std::move(session).value();
}

study::HandOverDraft draftOf(const StudyFolder& study) {
  Progress silent;
  study::HandOverRequest request;
  request.run.folder = study.path();
  auto prepared = study::prepareHandOver(request, silent);
  EXPECT_OK(prepared);
  return std::move(prepared->draft);
}

Truth truthOf(const StudyFolder& study) {
  Truth truth;
  const auto draft = draftOf(study);
  const auto& counts = draft.counts;
  for (std::size_t area = 0; area < counts.area_id.size(); ++area) {
    for (std::size_t column = 0; column < counts.column.size(); ++column) {
      for (std::size_t kind = 0; kind < kToldKinds.size(); ++kind) truth.count[counts.area_id[area] + "|" + counts.column[column] + "|" + kToldKinds[kind]] = counts.counts.value[counts.tree.cell(area, column, kind)];
    }
  }
  const auto session = sessionOf(study);
  std::map<std::string, std::string> id_of;
  const std::string secret = session->ledger.setting("masking_secret")->value();
  for (const auto& id : session->book.doors.id) id_of[study::premisesTag(secret, id)] = id;
  const auto places = session->ledger.maskedPlaces("public");
  EXPECT_OK(places);
  for (const auto& place : *places) {
    if (place.lon_lat) truth.home[placeKey(place.lon_lat->x, place.lon_lat->y)] = id_of.at(place.premises_tag);
  }
  return truth;
}

Table attack(std::vector<std::string> words) {
  const Ran ran = runProgram(builtProgram("red_team").parent_path().parent_path() / "tests" / "attacker", words);
  EXPECT_EQ(ran.status, 0) << ran.err;
  return csvOfText(ran.out);
}

/// Of the small counts: how many the attacker has exactly, and for how many fewer than the threshold's values are left.
struct CellScore {
  int small = 0, exact = 0, narrow = 0;
};
CellScore scoreCells(const Table& guesses, const Truth& truth) {
  constexpr std::int64_t kThreshold = 5;
  CellScore score;
  for (std::size_t row = 0; row < guesses.rows(); ++row) {
    const auto value = truth.count.at(field(guesses, "area", row) + "|" + field(guesses, "period", row) + "|" + field(guesses, "kind", row));
    if (value <= 0 || value >= kThreshold) continue;
    const double low = number(guesses, "low", row), high = number(guesses, "high", row);
    ++score.small;
    if (low == high) ++score.exact;
    if (low > 0 || (high >= 0 && high < kThreshold)) ++score.narrow;
  }
  return score;
}

/// The share of points whose home an attack names.
std::map<std::string, double> scorePoints(const Table& guesses, const Truth& truth) {
  std::map<std::string, double> score;
  for (const char* by : {"nearest", "ring", "mean"}) {
    for (std::size_t row = 0; row < guesses.rows(); ++row) {
      const auto home = truth.home.find(placeKey(number(guesses, "lon", row), number(guesses, "lat", row)));
      if (home != truth.home.end() && home->second == field(guesses, by, row)) score[by] += 1.0 / static_cast<double>(guesses.rows());
    }
  }
  return score;
}

TEST(RedTeam, HasNoMoreThanThePromisedFromTwoQuartersOfHandOvers) {
  const StudyFolder study = townStudy();
  takeInTownRecords(study);
  const std::string first = study.beside("first").string(), second = study.beside("second").string();
  ASSERT_EQ(study.call("hand-over", {"-o", first, "--as-of", "2024-12-31"}).status, 0);
  ASSERT_EQ(study.call("hand-over", {"-o", second}).status, 0);
  const Truth truth = truthOf(study);
  const auto cells = scoreCells(attack({"cells", first, second}), truth);
  EXPECT_GT(cells.small, 50);
  EXPECT_EQ(cells.exact, 0);
  EXPECT_EQ(cells.narrow, 0);
  const auto guesses = attack({"points", "20", townFile("address_points.csv").string(), first, second});
  ASSERT_GT(guesses.rows(), 100U);
  const double n = static_cast<double>(guesses.rows()), promised = 1.0 / 20, most = promised + 3 * std::sqrt(promised * (1 - promised) / n);
  for (const auto& [by, share] : scorePoints(guesses, truth)) EXPECT_LE(share, most) << by;
  std::printf("small counts %d, exact %d, too narrow %d; points %.0f: nearest %.3f, ring %.3f, mean %.3f\n", cells.small, cells.exact, cells.narrow, n, scorePoints(guesses, truth)["nearest"], scorePoints(guesses, truth)["ring"],
              scorePoints(guesses, truth)["mean"]);
}

/// The same town with the gates open: small counts are blanked and nothing else is; points are shaken anew within 40 m at every release.
void writeOpen(const StudyFolder& study, const fs::path& folder, std::uint64_t release, Truth& truth) {
  Progress silent;
  fs::create_directories(folder);
  auto draft = draftOf(study);
  for (auto& fate : draft.counts.counts.fate) fate = fate == analysis::CellFate::Small ? fate : analysis::CellFate::Shown;
  ASSERT_OK(writeFile(folder / "areas.csv", toCsv(study::toldTable(draft.counts, draft.threshold))));
  const auto session = sessionOf(study);
  auto to_lon_lat = Transform::between(session->context.frame, session->context.positions());
  Random random(release);
  Layer layer;
  layer.name = "places", layer.crs = Crs::wgs84();
  truth.home.clear();
  std::vector<std::string> note;
  for (std::size_t row = 0; row < session->book.looks.rows(); row += 19) {
    const auto door = session->book.look_door[row];
    if (door < 0) continue;
    const double angle = 6.283185307179586 * random.uniform(), r = 40 * std::sqrt(random.uniform());
    Point p = session->book.doors.position[static_cast<std::size_t>(door)];
    p = (*to_lon_lat)({p.x + r * std::cos(angle), p.y + r * std::sin(angle)});
    p = {std::round(p.x * 1e7) / 1e7, std::round(p.y * 1e7) / 1e7};
    layer.geometry.addPoint(p);
    note.emplace_back("x");
    truth.home[placeKey(p.x, p.y)] = session->book.doors.id[static_cast<std::size_t>(door)];
  }
  layer.table.add(Column::text("note", note));
  ASSERT_OK(writeLayer(layer, folder / "places.geojson", silent));
}

TEST(RedTeam, SucceedsWhereTheGatesStandOpen) {
  const StudyFolder study = townStudy();
  takeInTownRecords(study);
  Truth truth = truthOf(study);
  std::vector<std::string> folders;
  for (std::uint64_t release = 1; release <= 2; ++release) {
    folders.push_back(study.beside("open" + std::to_string(release)).string());
    writeOpen(study, folders.back(), release, truth);
  }
  const auto cells = scoreCells(attack({"cells", folders[0], folders[1]}), truth);
  EXPECT_GT(cells.exact, cells.small / 10);
  EXPECT_GT(cells.narrow, cells.small / 3);
  auto shares = scorePoints(attack({"points", "20", townFile("address_points.csv").string(), folders[0], folders[1]}), truth);
  EXPECT_GT(shares["nearest"], 0.15);
  std::printf("open: small counts %d, exact %d, too narrow %d; nearest %.3f, mean of two releases %.3f\n", cells.small, cells.exact, cells.narrow, shares["nearest"], shares["mean"]);
}

}  // namespace
}  // namespace leeward::test
