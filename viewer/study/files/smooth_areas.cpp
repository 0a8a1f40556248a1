#include "viewer/study/files/smooth_areas.h"

#include <cmath>
#include <limits>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "analysis/rates/empirical_bayes.h"
#include "shared/base/text.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

Result<analysis::Neighbours> readEdges(const SmoothAreasRequest& request, const Table& areas, Progress& progress) {
  constexpr std::string_view kEdges = "edges:";
  if (!std::string_view(request.neighbours).starts_with(kEdges)) {
    return Problem{ProblemCode::InvalidArgument, "--local needs to know who is next to whom", "--neighbours", "Add --neighbours edges:FILE, a CSV with columns from and to"};
  }
  const std::string file = request.neighbours.substr(kEdges.size());
  LEEWARD_ASSIGN(edges, readInput({.source = file, .x_column = "", .y_column = "", .crs = ""}, progress));
  LEEWARD_ASSIGN(from, needColumn(edges.table, "from", file, "from"));
  LEEWARD_ASSIGN(to, needColumn(edges.table, "to", file, "to"));
  std::unordered_map<std::string, std::size_t> row_of;
  const Column* ids = nullptr;
  if (!request.id.empty()) {
    LEEWARD_ASSIGN(column, needColumn(areas, request.id, request.areas.source, "--id"));
    ids = column;
  }
  for (std::size_t row = 0; row < areas.rows(); ++row) row_of.emplace(ids != nullptr ? ids->asText(row) : std::to_string(row + 1), row);
  std::vector<std::pair<std::size_t, std::size_t>> pairs;
  for (std::size_t row = 0; row < edges.rows(); ++row) {
    const auto a = row_of.find(from->asText(row)), b = row_of.find(to->asText(row));
    if (a == row_of.end() || b == row_of.end()) {
      return Problem{ProblemCode::BadData, fmt::format("no area is called \"{}\"", a == row_of.end() ? from->asText(row) : to->asText(row)),
                     fmt::format("{}, {}", file, rowName(edges.table, row)),
                     request.id.empty() ? "Edges name rows by number, from 1; or name a column with --id" : "Check the ids"};
    }
    pairs.emplace_back(a->second, b->second);
  }
  return analysis::Neighbours::fromEdges(areas.rows(), pairs);
}

}  // namespace

Result<FileAnswer> smoothAreas(const SmoothAreasRequest& request, Progress& progress) {
  LEEWARD_ASSIGN(areas, readInput(request.areas, progress));
  LEEWARD_ASSIGN(events, needNumbers(areas.table, request.events, request.areas.source, "--events", true));
  LEEWARD_ASSIGN(exposure, needNumbers(areas.table, request.exposure, request.areas.source, "--exposure", true));
  std::vector<double> raw, low, high, smoothed;
  if (request.by == "gamma-poisson" && !request.local) {
    LEEWARD_ASSIGN(rates, analysis::gammaPoisson(events, exposure, analysis::GammaFit::MaximumLikelihood, request.level));
    raw = std::move(rates.raw), low = std::move(rates.low), high = std::move(rates.high), smoothed = std::move(rates.smoothed);
  } else if (request.by == "marshall") {
    analysis::MarshallRates rates;
    if (request.local) {
      LEEWARD_ASSIGN(neighbours, readEdges(request, areas.table, progress));
      LEEWARD_ASSIGN(found, analysis::marshallLocal(events, exposure, neighbours));
      rates = std::move(found);
    } else {
      LEEWARD_ASSIGN(found, analysis::marshallGlobal(events, exposure));
      rates = std::move(found);
    }
    raw = std::move(rates.raw), smoothed = std::move(rates.smoothed);
    low.assign(raw.size(), std::numeric_limits<double>::quiet_NaN());
    high = low;
  } else {
    return Problem{ProblemCode::InvalidArgument, request.local ? "the local form is Marshall's" : fmt::format("\"{}\" is no way to smooth", request.by), "--by",
                   "Use marshall (with or without --local) or gamma-poisson"};
  }
  FileAnswer answer;
  for (std::size_t row = 0; row < areas.rows(); ++row) {
    if (std::isnan(events[row]) || std::isnan(exposure[row])) {
      answer.refused.push_back(refusedRow(areas.table, row, std::isnan(events[row]) ? request.events : request.exposure, "no number"));
    }
  }
  addColumns(areas, TableMaker{}.reals("rate", raw).reals("rate_low", low).reals("rate_high", high).reals("smoothed", smoothed).done());
  answer.layer = std::move(areas);
  return answer;
}

}  // namespace leeward::study
