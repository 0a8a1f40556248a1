/// Draws how often placing scores are right (within 30 m), on the reported messy log of Cambridge, whose lines the calibration never saw:
///   leeward_draw_reliability FOLDER-OF-CAMBRIDGE OUT.svg
/// Also prints the bins, and the expected calibration error by halves of the streets.
#include <array>
#include <cmath>
#include <fstream>
#include <iostream>
#include <sstream>

#include "shared/base/text.h"
#include "tests/reference/place/cambridge.h"

using namespace leeward;

namespace {

constexpr std::size_t kBins = 10;
constexpr double kSide = 360, kLeft = 60, kTop = 20;  ///< of the square that is drawn in

struct Bin {
  double count = 0, score = 0, right = 0;
  void add(double line_score, bool is_right) { count += 1, score += line_score, right += is_right; }
  /// Wilson's 95 % interval (Wilson 1927, JASA 22).
  std::array<double, 2> interval() const {
    constexpr double kZ = 1.959964;
    const double p = right / count, z2 = kZ * kZ / count;
    const double middle = (p + z2 / 2) / (1 + z2), half = kZ * std::sqrt(p * (1 - p) / count + z2 / (4 * count)) / (1 + z2);
    return {middle - half, middle + half};
  }
};
using Bins = std::array<Bin, kBins>;

double calibrationError(const Bins& bins) {
  double error = 0, all = 0;
  for (const Bin& bin : bins) error += std::abs(bin.score - bin.right), all += bin.count;
  return error / all;
}

constexpr double kAround = 0.08;  ///< of the scale, free at both ends: most lines lie at its end
double across(double share) { return kLeft + (share + kAround) / (1 + 2 * kAround) * kSide; }
double up(double share) { return kTop + (1 + kAround - share) / (1 + 2 * kAround) * kSide; }

std::string picture(const Bins& bins) {
  std::ostringstream svg;
  svg << "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"440\" height=\"440\" viewBox=\"0 0 440 440\" font-family=\"sans-serif\" font-size=\"12\">\n"
      << "<title>Placing scores and how often they are right</title>\n<rect width=\"440\" height=\"440\" fill=\"#ffffff\"/>\n"
      << "<rect x=\"" << kLeft << "\" y=\"" << kTop << "\" width=\"" << kSide << "\" height=\"" << kSide << "\" fill=\"none\" stroke=\"#444444\"/>\n"
      << "<line x1=\"" << across(0) << "\" y1=\"" << up(0) << "\" x2=\"" << across(1) << "\" y2=\"" << up(1) << "\" stroke=\"#999999\" stroke-dasharray=\"4 4\"/>\n";
  for (const double tick : {0.0, 0.25, 0.5, 0.75, 1.0}) {
    svg << "<text x=\"" << across(tick) << "\" y=\"" << kTop + kSide + 18 << "\" text-anchor=\"middle\">" << tick << "</text>"
        << "<text x=\"" << kLeft - 8 << "\" y=\"" << up(tick) + 4 << "\" text-anchor=\"end\">" << tick << "</text>\n";
  }
  for (const Bin& bin : bins) {
    if (bin.count == 0) continue;
    const double x = across(bin.score / bin.count);
    const auto [low, high] = bin.interval();
    svg << "<line x1=\"" << x << "\" y1=\"" << up(low) << "\" x2=\"" << x << "\" y2=\"" << up(high) << "\" stroke=\"#0072B2\"/>"
        << "<circle cx=\"" << x << "\" cy=\"" << up(bin.right / bin.count) << "\" r=\"4\" fill=\"#0072B2\"/>"
        << "<text x=\"" << x << "\" y=\"" << (high > 0.9 ? up(low) + 17 : up(high) - 6) << "\" text-anchor=\"middle\" fill=\"#444444\">" << formatCount(static_cast<std::int64_t>(bin.count))
        << "</text>\n";
  }
  svg << "<text x=\"" << across(0.5) << "\" y=\"" << kTop + kSide + 40 << "\" text-anchor=\"middle\">mean score of the lines in a tenth (their number; bars: 95 %)</text>\n"
      << "<text transform=\"translate(16 " << up(0.5) << ") rotate(-90)\" text-anchor=\"middle\">share within 30 m of the truth</text>\n</svg>\n";
  return svg.str();
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 3) return 2;
  const auto city = test::readCambridge(argv[1]);
  if (!city) return 3;
  Progress progress;
  const auto index = analysis::AddressIndex::build(city->points, city->ranges, progress);
  if (!index) return 3;
  const auto log = test::messyLog(*city, 20000, 20260);
  std::vector<analysis::PlaceQuery> queries;
  for (const auto& entry : log) queries.push_back({entry.line.text, "", ""});
  const auto placed = analysis::placeAddresses(*index, queries, progress);
  if (!placed) return 4;
  Bins all;
  std::array<Bins, 2> halves;
  for (std::size_t i = 0; i < log.size(); ++i) {
    const analysis::Placement& p = (*placed)[i];
    const bool is_right = std::hypot(p.position.x - log[i].truth.x, p.position.y - log[i].truth.y) <= 30;
    const auto bin = static_cast<std::size_t>(std::min(kBins - 1.0, p.score * kBins));
    all[bin].add(p.score, is_right);
    halves[city->points.street[log[i].row].size() % 2][bin].add(p.score, is_right);
  }
  for (const Bin& bin : all) {
    if (bin.count > 0) std::cout << bin.count << " lines, mean score " << bin.score / bin.count << ", right " << bin.right / bin.count << '\n';
  }
  std::cout << "calibration error " << calibrationError(all) << "; streets of even and odd length of name " << calibrationError(halves[0]) << ", " << calibrationError(halves[1]) << '\n';
  std::ofstream out(argv[2]);
  out << picture(all);
  return out ? 0 : 4;
}
