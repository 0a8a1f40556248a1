/// Figures on open data, as written in analysis/place/PLACING.md. Floors stand a little below what was measured.
#include <cmath>
#include <iostream>

#include <gtest/gtest.h>

#include "analysis/overlay/locate.h"
#include "shared/base/random.h"
#include "tests/reference/place/cambridge.h"
#include "tests/reference/place/trainer.h"
#include "tests/support/data.h"

namespace leeward::test {
namespace {

using analysis::AddressLabel;

// Labelled strings (see the folder's licence): every label right, 5-fold, equal strings in one fold.
TEST(ParsingFigures, LabelledStringsWhollyRightInFiveFolds) {
  LEEWARD_OUTSIDE_DATA(file, "data/addresses/labeled.xml");
  const auto strings = readLabeled(file);
  ASSERT_EQ(strings.size(), 1513U);
  double by_rules = 0;
  double learned = 0;
  for (int fold = 0; fold < 5; ++fold) {
    std::vector<const LabeledString*> training;
    for (const auto& string : strings) {
      if (foldOf(string, 5) != fold) training.push_back(&string);
    }
    const auto weights = trainTagger(training, {});
    for (const auto& string : strings) {
      if (foldOf(string, 5) != fold) continue;
      const std::string truth = labelTrack(string.words);
      by_rules += labelTrack(analysis::parseWith(string.text, nullptr)) == truth;
      learned += labelTrack(analysis::parseWith(string.text, &weights)) == truth;
    }
  }
  const double n = static_cast<double>(strings.size());
  std::cout << "wholly right: rules " << by_rules / n << ", learned " << learned / n << '\n';
  EXPECT_GE(by_rules / n, 0.52);
  EXPECT_GE(learned / n, 0.825);
  EXPECT_GT(learned, by_rules);
}

/// Text of one label in the labelled words, marks dropped, as element() gives it.
std::string labelled(const LabeledString& string, AddressLabel label) {
  analysis::ParsedAddress parsed;
  for (const auto& [l, word] : string.words) {
    if (l == label) parsed.tokens.push_back({l, word});
  }
  return analysis::element(parsed, label);
}

std::string joinedNumber(const analysis::ParsedAddress& parsed) {
  return analysis::element(parsed, AddressLabel::AddressNumberPrefix) + analysis::element(parsed, AddressLabel::AddressNumber) +
         analysis::element(parsed, AddressLabel::AddressNumberSuffix);
}

// Strings of fifty states, with the weights as committed (none of these strings is in the training file's folds).
TEST(ParsingFigures, NumberPlaceStateAndZipOfFiftyStates) {
  double right = 0;
  double asked = 0;
  for (const char* name : {"us50_messiest_manual_label.xml", "us50_train_tagged.xml"}) {
    LEEWARD_OUTSIDE_DATA(file, std::string("data/addresses/") + name);
    for (const auto& string : readLabeled(file)) {
      const auto parsed = analysis::parseAddress(string.text);
      const auto without_blanks = [](std::string text) {
        std::erase(text, ' ');
        return text;
      };
      const auto check = [&](const std::string& truth, const std::string& found) {
        ++asked;
        const bool same = without_blanks(truth) == without_blanks(found);
        right += same;
        if (!same) std::cout << string.text << ": " << truth << " / " << found << '\n';
      };
      check(labelled(string, AddressLabel::AddressNumberPrefix) + labelled(string, AddressLabel::AddressNumber) +
                labelled(string, AddressLabel::AddressNumberSuffix), joinedNumber(parsed));
      check(labelled(string, AddressLabel::PlaceName), analysis::element(parsed, AddressLabel::PlaceName));
      check(labelled(string, AddressLabel::StateName), analysis::element(parsed, AddressLabel::StateName));
      check(labelled(string, AddressLabel::ZipCode), analysis::element(parsed, AddressLabel::ZipCode));
    }
  }
  std::cout << "four fields right: " << right / asked << " of " << asked << '\n';
  EXPECT_GE(right / asked, 0.98);
}

class PlacingFiguresTest : public testing::Test {
 protected:
  static const Cambridge* city() {
    static const auto read = readCambridge(*outsideData() / "data/cambridge");
    return read ? &*read : nullptr;
  }
};

// City open data of Cambridge, Massachusetts (PDDL 1.0); seeds other than those of the calibration.
TEST_F(PlacingFiguresTest, MessyLogOfCambridge) {
  LEEWARD_OUTSIDE_DATA(folder, "data/cambridge");
  ASSERT_NE(city(), nullptr);
  Progress progress;
  const auto index = analysis::AddressIndex::build(city()->points, city()->ranges, progress);
  ASSERT_OK(index);
  const auto log = messyLog(*city(), 20000, 20260);
  std::vector<analysis::PlaceQuery> queries;
  for (const auto& entry : log) queries.push_back({entry.line.text, "", ""});
  const auto placed = analysis::placeAddresses(*index, queries, progress);
  ASSERT_OK(placed);
  const PlacingFigures f = figuresOf(log, *placed, *city());
  std::cout << "right " << f.right << ", of recoverable " << f.right_recoverable << ", same id " << f.same_id << ", sure " << f.sure
            << ", sure and wrong " << f.sure_wrong << ", sure and over 100 m off " << f.sure_far << ", undecided " << f.undecided
            << ", calibration error " << f.calibration_error << '\n';
  EXPECT_GE(f.right, 0.96);
  EXPECT_GE(f.right_recoverable, 0.985);
  EXPECT_LE(f.sure_wrong, 0.005);
  EXPECT_LE(f.sure_far, 0.003);
  EXPECT_GE(f.sure, 0.85);
  EXPECT_LE(f.undecided, 0.05);
  EXPECT_LE(f.calibration_error, 0.03);
}

/// Points of the city that are left out of the reference, and the reference without them.
struct HeldOut {
  analysis::AddressPoints kept;
  std::vector<std::size_t> away;
};

HeldOut halfOf(const analysis::AddressPoints& whole) {
  HeldOut half;
  for (std::size_t row = 0; row < whole.size(); ++row) {
    if (Random(1, row).below(2) != 0) {
      half.away.push_back(row);
      continue;
    }
    half.kept.id.push_back(whole.id[row]);
    half.kept.number.push_back(whole.number[row]);
    half.kept.street.push_back(whole.street[row]);
    half.kept.place.push_back(whole.place[row]);
    half.kept.postcode.push_back(whole.postcode[row]);
    half.kept.position.push_back(whole.position[row]);
  }
  return half;
}

// Half of the points taken away and placed by what remains: how far off, and whether the stated radius holds 95 %.
TEST_F(PlacingFiguresTest, HeldOutPointsOfCambridgeLieWithinTheStatedRadius) {
  LEEWARD_OUTSIDE_DATA(folder, "data/cambridge");
  ASSERT_NE(city(), nullptr);
  const Cambridge& whole = *city();
  auto [kept, away] = halfOf(whole.points);
  Progress progress;
  const auto index = analysis::AddressIndex::build(std::move(kept), whole.ranges, progress);
  ASSERT_OK(index);
  std::vector<double> off;
  double placed = 0;
  double held = 0;
  for (const std::size_t row : away) {
    const auto p = analysis::placeAddress(*index, {whole.points.number[row] + " " + whole.points.street[row], "", ""});
    if (p.placed_by != analysis::PlacedBy::Between && p.placed_by != analysis::PlacedBy::Range) continue;
    const double distance = std::hypot(p.position.x - whole.points.position[row].x, p.position.y - whole.points.position[row].y);
    ++placed;
    held += distance <= p.uncertainty_m;
    off.push_back(distance);
  }
  std::sort(off.begin(), off.end());
  std::cout << placed << " of " << away.size() << " placed between or on a range: median " << off[off.size() / 2] << " m, 95 % within "
            << off[off.size() * 95 / 100] << " m; inside the stated radius " << held / placed << '\n';
  EXPECT_LE(off[off.size() / 2], 25);
  EXPECT_LE(off[off.size() * 95 / 100], 80);
  EXPECT_GE(held / placed, 0.92);
}

/// Of addresses placed without their own point: in which census block (2020) they came to lie.
struct BlockFigures {
  double lines = 0, right = 0;
  double unsure = 0;             ///< undecided, or score < 0.9
  double near_border = 0;        ///< the block's chance by the stated radius is below 0.95
  double right_or_unsure = 0;
  double right_or_near_border = 0;
  double claimed = 0;            ///< mean chance of the block given
};

Result<BlockFigures> blockFigures(const analysis::AddressIndex& index, const Cambridge& whole, const std::vector<std::size_t>& away, const Geometries& blocks) {
  Progress progress;
  std::vector<Point> truth, at;
  std::vector<double> sigma;
  std::vector<analysis::Placement> placed;
  for (const std::size_t row : away) {
    placed.push_back(analysis::placeAddress(index, {whole.points.number[row] + " " + whole.points.street[row], "", ""}));
    truth.push_back(whole.points.position[row]);
    at.push_back(placed.back().position);
    sigma.push_back(placed.back().uncertainty_m / std::sqrt(-2 * std::log(0.05)));
  }
  LEEWARD_ASSIGN(true_block, analysis::locate(truth, {}, blocks, progress));
  LEEWARD_ASSIGN(by_point, analysis::locate(at, {}, blocks, progress));
  LEEWARD_ASSIGN(by_chance, analysis::locate(at, sigma, blocks, progress));
  BlockFigures f;
  for (std::size_t i = 0; i < away.size(); ++i) {
    if (true_block[i].area < 0) continue;  // a point of the file that lies in no block has no truth
    const bool right = by_point[i].area == true_block[i].area;
    const bool unsure = placed[i].decision != analysis::PlaceDecision::Placed || placed[i].score < 0.9;
    const bool border = placed[i].decision != analysis::PlaceDecision::Placed || by_chance[i].area != by_point[i].area || by_chance[i].chance < 0.95;
    ++f.lines;
    f.right += right;
    f.unsure += unsure;
    f.near_border += border;
    f.right_or_unsure += right || unsure;
    f.right_or_near_border += right || border;
    f.claimed += by_chance[i].chance;
  }
  for (double* value : {&f.right, &f.unsure, &f.near_border, &f.right_or_unsure, &f.right_or_near_border, &f.claimed}) *value /= f.lines;
  return f;
}

std::ostream& operator<<(std::ostream& out, const BlockFigures& f) {
  return out << f.lines << " lines: right block " << f.right << " (claimed " << f.claimed << "), score < 0.9 " << f.unsure << ", block's chance < 0.95 "
             << f.near_border << "; right or score < 0.9 " << f.right_or_unsure << ", right or chance < 0.95 " << f.right_or_near_border << '\n';
}

// The same, and with no points at all: the right block, or said to be unsure of it.
TEST_F(PlacingFiguresTest, HeldOutPointsOfCambridgeLieInTheRightBlockOrAreFlagged) {
  LEEWARD_OUTSIDE_DATA(folder, "data/cambridge");
  ASSERT_NE(city(), nullptr);
  const Cambridge& whole = *city();
  const auto blocks = readCambridgeBlocks(folder);
  ASSERT_OK(blocks);
  auto [kept, away] = halfOf(whole.points);
  Progress progress;
  const auto halved = analysis::AddressIndex::build(std::move(kept), whole.ranges, progress);
  ASSERT_OK(halved);
  const auto half = blockFigures(*halved, whole, away, *blocks);
  ASSERT_OK(half);
  const auto no_points = analysis::AddressIndex::build({}, whole.ranges, progress);
  ASSERT_OK(no_points);
  const auto ranges = blockFigures(*no_points, whole, away, *blocks);
  ASSERT_OK(ranges);
  std::cout << "half of the points: " << *half << "ranges alone: " << *ranges;
  for (const BlockFigures& f : {*half, *ranges}) {
    EXPECT_GE(f.right_or_unsure, 0.99);
    EXPECT_GE(f.right_or_near_border, 0.99);
  }
}

}  // namespace
}  // namespace leeward::test
