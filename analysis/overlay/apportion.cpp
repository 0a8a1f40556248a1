#include "analysis/overlay/apportion.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>

#include "analysis/overlay/margins.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "shared/geo/overlay.h"

namespace leeward::analysis {
namespace {

/// Shares that differ from 0 or 1 by rounding only.
constexpr double kRounding = 1e-9;

/// Tables of the American Community Survey whose estimates are medians (from memory of the table list).
constexpr std::array<std::string_view, 17> kMedianTables = {"b01002", "b06011", "b07011", "b08111", "b10010", "b12007",
                                                            "b19013", "b19113", "b19202", "b20002", "b20004", "b25031",
                                                            "b25035", "b25058", "b25064", "b25071", "b25077"};

/// A weighted share of a source figure on its way into one target.
struct Piece {
  double of_source = 0;
  double weight = 0;
  double area = 0;
  std::size_t from = 0;
};

/// Shares by target, each target's in order of source.
std::vector<std::vector<Piece>> piecesByTarget(const AreaShares& shares, std::size_t targets) {
  std::vector<std::vector<Piece>> pieces(targets);
  for (const auto& share : shares.shares) pieces[share.to].push_back({share.of_source, share.weight, share.area, share.from});
  return pieces;
}

/// The part of `pieces`, by area (a mean's by what it is weighted with), whose source has no value.
double missingShare(const std::vector<Piece>& pieces, const std::vector<double>& values, bool is_mean) {
  double all = 0;
  double missing = 0;
  for (const auto& piece : pieces) {
    const double size = is_mean ? piece.weight : piece.area;
    all += size;
    if (std::isnan(values[piece.from])) missing += size;
  }
  return all > 0 ? missing / all : 1;
}

struct Combined {
  double value = kNan;
  double margin = kNan;
};

/// Sum of share x value over the sources that have one; a mean's weights are divided by their sum.
Combined combine(const std::vector<Piece>& pieces, const SourceFigure& figure, bool is_mean) {
  std::vector<double> estimates;
  std::vector<double> margins;
  double weights = 0;
  double sum = 0;
  for (const auto& piece : pieces) {
    const double value = figure.values[piece.from];
    if (std::isnan(value)) continue;
    const double weight = is_mean ? piece.weight : piece.of_source;
    weights += weight;
    sum += weight * value;
    estimates.push_back(value);
    if (!figure.margins.empty()) margins.push_back(weight * figure.margins[piece.from]);
  }
  const double divisor = is_mean ? weights : 1;
  return {sum / divisor, marginOfSum(estimates, margins) / divisor};
}

Result<TargetFigure> spread(const std::vector<std::vector<Piece>>& pieces, const SourceFigure& figure, std::size_t sources,
                            bool is_mean, double missing_share) {
  if (isMedian(figure.name)) {
    return Problem{ProblemCode::InvalidArgument,
                   fmt::format("\"{}\" looks like a median, which is neither a count nor a mean", figure.name), figure.name,
                   "Leave it on its own areas, or apportion the counts that it was made from"};
  }
  const bool fits = figure.values.size() == sources && (figure.margins.empty() || figure.margins.size() == sources);
  if (!fits) {
    return Problem{ProblemCode::InvalidArgument, "a figure must have one value (and margin) for each source area", figure.name,
                   ""};
  }
  TargetFigure result;
  result.name = figure.name;
  result.values.assign(pieces.size(), kNan);
  if (!figure.margins.empty()) result.margins.assign(pieces.size(), kNan);
  for (std::size_t target = 0; target < pieces.size(); ++target) {
    if (missingShare(pieces[target], figure.values, is_mean) > missing_share) continue;
    const auto combined = combine(pieces[target], figure, is_mean);
    result.values[target] = combined.value;
    if (!figure.margins.empty()) result.margins[target] = combined.margin;
  }
  const auto addKnown = [](double sum, double value) { return std::isnan(value) ? sum : sum + value; };
  result.source_total = is_mean ? kNan : std::accumulate(figure.values.begin(), figure.values.end(), 0.0, addKnown);
  result.placed_total = is_mean ? kNan : std::accumulate(result.values.begin(), result.values.end(), 0.0, addKnown);
  result.missing_sources =
      static_cast<std::size_t>(std::count_if(figure.values.begin(), figure.values.end(), [](double v) { return std::isnan(v); }));
  return result;
}

}  // namespace

Result<AreaShares> sharesByArea(const Geometries& from, const Geometries& to, Progress& progress) {
  LEEWARD_ASSIGN(pairs, overlaps(from, to, progress));
  AreaShares shares;
  std::vector<double> in_targets(from.size(), 0);
  std::vector<double> under_sources(to.size(), 0);
  for (const auto& pair : pairs) {
    const double whole = areaOf(from, pair.from);
    if (!(whole > 0)) continue;
    double share = pair.area / whole;
    if (std::abs(share - 1) < kRounding) share = 1;
    shares.shares.push_back({pair.from, pair.to, pair.area, share, pair.area});
    in_targets[pair.from] += share;
    under_sources[pair.to] += pair.area;
  }
  for (const double share : in_targets) shares.source_uncovered.push_back(share > 1 - kRounding ? 0 : 1 - share);
  for (std::size_t row = 0; row < to.size(); ++row) {
    const double whole = areaOf(to, row);
    shares.target_covered.push_back(whole > 0 ? std::min(1.0, under_sources[row] / whole) : 0);
  }
  return shares;
}

Result<Apportioned> apportion(const AreaShares& shares, std::size_t sources, std::size_t targets,
                              const ApportionRequest& request) {
  const auto fits = [&](const AreaShare& share) { return share.from < sources && share.to < targets; };
  if (!std::all_of(shares.shares.begin(), shares.shares.end(), fits)) {
    return Problem{ProblemCode::InvalidArgument, "the shares name areas that don't exist", "", ""};
  }
  const auto pieces = piecesByTarget(shares, targets);
  Apportioned result;
  for (const auto& figure : request.counts) {
    LEEWARD_ASSIGN(spread_figure, spread(pieces, figure, sources, false, request.missing_share));
    result.counts.push_back(std::move(spread_figure));
  }
  for (const auto& figure : request.means) {
    LEEWARD_ASSIGN(spread_figure, spread(pieces, figure, sources, true, request.missing_share));
    result.means.push_back(std::move(spread_figure));
  }
  return result;
}

bool isMedian(std::string_view name) {
  const auto lower = lowerAscii(name);
  if (lower.find("median") != std::string::npos) return true;
  for (const auto table : kMedianTables) {
    if (lower.starts_with(table)) return true;
  }
  const auto at = lower.find("med");
  if (at == std::string::npos) return false;
  const auto isLetter = [&](std::size_t i) { return i < lower.size() && lower[i] >= 'a' && lower[i] <= 'z'; };
  return !(at > 0 && isLetter(at - 1)) && !isLetter(at + 3);
}

}  // namespace leeward::analysis
