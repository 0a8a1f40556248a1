#include "analysis/rates/empirical_bayes.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "analysis/rates/exposed.h"
#include "shared/base/missing.h"

namespace leeward::analysis {
namespace {


/// Prior of a set of rows about their common mean.
struct Moments {
  std::size_t rows = 0;
  double events = 0, exposure = 0, squares = 0;
  double mean() const { return events / exposure; }
  /// Exposure-weighted variance of the rates less what chance alone gives them, not below 0.
  double variance() const {
    const double chance = mean() / (exposure / static_cast<double>(rows));
    return std::max(0.0, squares / exposure - chance);
  }
};

template <class Rows>
Moments momentsOf(const Rows& rows, std::span<const double> events, std::span<const double> exposure) {
  Moments moments;
  for (const auto row : rows) {
    ++moments.rows;
    moments.events += events[row];
    moments.exposure += exposure[row];
  }
  if (moments.rows == 0) return moments;
  for (const auto row : rows) {
    const double off = events[row] / exposure[row] - moments.mean();
    moments.squares += exposure[row] * off * off;
  }
  return moments;
}

double shrunk(double mean, double variance, double events, double exposure) {
  if (variance <= 0) return mean;
  return mean + variance / (variance + mean / exposure) * (events / exposure - mean);
}

}  // namespace

Result<Exposed> exposedRows(std::span<const double> events, std::span<const double> exposure) {
  if (events.size() != exposure.size()) {
    return Problem{ProblemCode::InvalidArgument, "events and exposure must have the same number of rows", "", ""};
  }
  Exposed exposed;
  exposed.tells.assign(events.size(), false);
  for (std::size_t row = 0; row < events.size(); ++row) {
    if (events[row] < 0 || exposure[row] < 0 || std::isinf(events[row]) || std::isinf(exposure[row])) {
      return Problem{ProblemCode::InvalidArgument, "events and exposure can't be negative or without end",
                     fmt::format("row {}", row + 1), "Mend the row or leave its value empty"};
    }
    if (std::isnan(events[row]) || !(exposure[row] > 0)) continue;
    exposed.tells[row] = true;
    ++exposed.rows;
    exposed.events += events[row];
    exposed.exposure += exposure[row];
  }
  if (exposed.rows == 0) {
    return Problem{ProblemCode::BadData, "no row has any exposure, so there is no rate", "",
                   "Check which column was taken as exposure"};
  }
  return exposed;
}

std::vector<double> rawRates(std::span<const double> events, std::span<const double> exposure, const Exposed& exposed) {
  std::vector<double> raw(events.size(), kNan);
  for (std::size_t row = 0; row < raw.size(); ++row) {
    if (exposed.tells[row]) raw[row] = events[row] / exposure[row];
  }
  return raw;
}

Result<MarshallRates> marshallGlobal(std::span<const double> events, std::span<const double> exposure) {
  LEEWARD_ASSIGN(exposed, exposedRows(events, exposure));
  std::vector<std::size_t> rows;
  for (std::size_t row = 0; row < events.size(); ++row) {
    if (exposed.tells[row]) rows.push_back(row);
  }
  const auto moments = momentsOf(rows, events, exposure);
  MarshallRates rates;
  rates.raw = rawRates(events, exposure, exposed);
  rates.mean.assign(events.size(), moments.mean());
  rates.variance.assign(events.size(), moments.variance());
  rates.smoothed = rates.mean;
  for (const auto row : rows) rates.smoothed[row] = shrunk(moments.mean(), moments.variance(), events[row], exposure[row]);
  return rates;
}

Result<MarshallRates> marshallLocal(std::span<const double> events, std::span<const double> exposure,
                                    const Neighbours& neighbours) {
  LEEWARD_ASSIGN(exposed, exposedRows(events, exposure));
  if (neighbours.size() != events.size()) {
    return Problem{ProblemCode::InvalidArgument, "the list of neighbours has another number of rows than the table", "", ""};
  }
  MarshallRates rates;
  rates.raw = rawRates(events, exposure, exposed);
  rates.mean.assign(events.size(), kNan);
  rates.variance.assign(events.size(), kNan);
  rates.smoothed.assign(events.size(), kNan);
  std::vector<std::size_t> around;
  for (std::size_t row = 0; row < events.size(); ++row) {
    around.clear();
    if (exposed.tells[row]) around.push_back(row);
    for (const auto other : neighbours.of(row)) {
      if (exposed.tells[other]) around.push_back(other);
    }
    if (around.empty()) continue;
    const auto moments = momentsOf(around, events, exposure);
    rates.mean[row] = moments.mean();
    rates.variance[row] = moments.variance();
    rates.smoothed[row] =
        exposed.tells[row] ? shrunk(moments.mean(), moments.variance(), events[row], exposure[row]) : moments.mean();
  }
  return rates;
}

}  // namespace leeward::analysis
