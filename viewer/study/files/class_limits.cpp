#include "viewer/study/files/class_limits.h"

#include <cmath>
#include <cstdint>
#include <utility>

#include <fmt/format.h>

#include "shared/base/text.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {

Result<ClassLimits> classLimits(const ClassLimitsRequest& request, Progress& progress) {
  auto reading = progress.part(0, 0.5);
  LEEWARD_ASSIGN(input, readInput(request.table, reading));
  LEEWARD_ASSIGN(column, needColumn(input.table, request.value, request.table.source, "--value"));
  const auto values = column->toReals();
  ClassLimits out;
  for (std::size_t row = 0; row < values.size(); ++row) {
    if (std::isfinite(values[row])) continue;
    if (column->isMissing(row) || trim(column->asText(row)).empty()) ++out.missing;
    else out.refused.push_back(refusedRow(input.table, row, column->name(), "not a number"));
  }
  auto working = progress.part(0.5, 1);
  auto found = request.fixed.empty() ? analysis::classLimits(values, request.count, request.by, working) : analysis::classesBetween(values, request.fixed);
  if (!found) return std::move(found).problem().at(fmt::format("{}, column {}", request.table.source, column->name()));
  out.classes = request.readable ? analysis::withReadableLimits(values, std::move(*found)) : std::move(*found);
  const auto& [limits, counts, within, fit] = out.classes;
  std::vector<std::int64_t> number, count;
  std::vector<double> lower, upper;
  for (std::size_t i = 0; i < counts.size(); ++i) {
    number.push_back(static_cast<std::int64_t>(i) + 1), count.push_back(static_cast<std::int64_t>(counts[i]));
    lower.push_back(limits[i]), upper.push_back(limits[i + 1]);
  }
  out.layer.name = "classes";
  out.layer.remarks = std::move(input.remarks);
  out.layer.table = TableMaker{}.integers("class", number).reals("lower", lower).reals("upper", upper).integers("count", count)
                        .reals("goodness_of_variance_fit", std::vector<double>(counts.size(), fit)).done();
  for (const double value : values) out.outside += !request.fixed.empty() && (value < limits.front() || value > limits.back()) ? 1 : 0;
  if (out.outside > 0) out.layer.remarks.push_back(fmt::format("{} rows lie outside the limits and are in no class", out.outside));
  if (request.fixed.empty() && counts.size() < request.count) {
    out.layer.remarks.push_back(fmt::format("{} of {} classes: there are too few different values for more", counts.size(), request.count));
  }
  if (out.missing > 0) out.layer.remarks.push_back(fmt::format("{} rows have no value and are in no class", out.missing));
  return out;
}

}  // namespace leeward::study
