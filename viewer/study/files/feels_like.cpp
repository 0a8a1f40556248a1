#include "viewer/study/files/feels_like.h"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "analysis/weather/feels_like.h"
#include "importers/column_map.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

/// Air that was ever measured near the ground lies between -128.6 and 134 °F (World Meteorological Organization's archive of extremes);
/// rounded outwards.
constexpr double kColdest_f = -130, kHottest_f = 140;

/// One measured column and what its values may be.
struct Measured {
  const Column* column = nullptr;
  double least = 0, most = 0;
  const char* rule = "";

  /// nan where the row has no value or one that can't be; `reason` tells the two apart.
  double at(std::size_t row, std::string& reason) const {
    if (column->isMissing(row) || trim(column->asText(row)).empty()) return kNan;
    const auto value = column->asReal(row);
    if (value && *value >= least && *value <= most) return *value;
    reason = value ? rule : "not a number";
    return kNan;
  }
};

const char* unitName(AirUnit unit) { return unit == AirUnit::Fahrenheit ? "F" : "C"; }
const char* unitName(WindUnit unit) {
  return unit == WindUnit::MilesPerHour ? "mph" : unit == WindUnit::KilometresPerHour ? "kmh" : "ms";
}

/// A heading like "Max temp (F)" or "wind_kmh" must not say another unit than the call.
Result<void> agree(const Column& column, const std::string& source, std::string_view unit, std::initializer_list<std::string_view> units, const char* option) {
  std::string said;
  const std::string words = importers::normalHeading(column.name(), &said);
  if (said.empty()) said = words.substr(words.rfind(' ') + 1);  // "wind_mph"
  if (said == "kph") said = "kmh";
  if (said.empty() || said == unit || std::ranges::find(units, said) == units.end()) return {};
  return Problem{ProblemCode::InvalidArgument, fmt::format("the column \"{}\" says {} and the call {}", column.name(), said, unit), source,
                 fmt::format("Give {} the column's unit, or rename the column", option)};
}

Result<void> checkHumidity(const Column& humidity, const std::string& source) {
  const auto values = humidity.toReals();
  const bool is_any_positive = std::ranges::any_of(values, [](double v) { return v > 0; });
  const bool is_any_large = std::ranges::any_of(values, [](double v) { return v > 1; });
  if (!is_any_positive || is_any_large) return {};
  return Problem{ProblemCode::BadData, "no humidity is above 1", fmt::format("{}, column {}", source, humidity.name()),
                 "Humidity is asked for in per cent (0 to 100): multiply the column by 100"};
}

/// A column where most values can't be is in another unit, or isn't air at all.
Result<void> checkAir(const Measured& air, const FeelsLikeRequest& request) {
  std::size_t present = 0, strange = 0;
  for (const double value : air.column->toReals()) {
    if (std::isnan(value)) continue;
    ++present;
    strange += value < air.least || value > air.most ? 1 : 0;
  }
  if (present == 0) return Problem{ProblemCode::BadData, "there is no temperature", fmt::format("{}, column {}", request.table.source, air.column->name()), "Name the column of air temperatures with --air"};
  if (2 * strange <= present) return {};
  return Problem{ProblemCode::BadData, fmt::format("{} of {} temperatures can't be air in °{}", strange, present, unitName(request.unit)),
                 fmt::format("{}, column {}", request.table.source, air.column->name()),
                 request.unit == AirUnit::Celsius ? "Was --unit F meant?" : "Is this the right column?"};
}

double toMph(double wind, WindUnit unit) {
  if (unit == WindUnit::KilometresPerHour) return analysis::mphOfKilometresPerHour(wind);
  return unit == WindUnit::MetresPerSecond ? analysis::mphOfMetresPerSecond(wind) : wind;
}

}  // namespace

Result<FileAnswer> feelsLike(const FeelsLikeRequest& request, Progress& progress) {
  if (request.humidity.empty() && request.wind.empty()) {
    return Problem{ProblemCode::InvalidArgument, "heat index needs humidity, wind chill needs wind", "feels-like", "Add --humidity COLUMN, --wind COLUMN, or both"};
  }
  LEEWARD_ASSIGN(layer, readInput(request.table, progress));
  const bool celsius = request.unit == AirUnit::Celsius;
  LEEWARD_ASSIGN(air_column, needColumn(layer.table, request.air, request.table.source, "--air"));
  LEEWARD_TRY(agree(*air_column, request.table.source, celsius ? "c" : "f", {"c", "f"}, "--unit"));
  const Measured air{air_column, celsius ? analysis::celsiusOf(kColdest_f) : kColdest_f, celsius ? analysis::celsiusOf(kHottest_f) : kHottest_f, "no air is that cold or hot"};
  LEEWARD_TRY(checkAir(air, request));
  Measured humidity{nullptr, 0, 100, "humidity is 0 to 100 per cent"}, wind{nullptr, 0, 300, "no wind is that slow or fast"};
  if (!request.humidity.empty()) {
    LEEWARD_ASSIGN(column, needColumn(layer.table, request.humidity, request.table.source, "--humidity"));
    LEEWARD_TRY(checkHumidity(*column, request.table.source));
    humidity.column = column;
  }
  if (!request.wind.empty()) {
    LEEWARD_ASSIGN(column, needColumn(layer.table, request.wind, request.table.source, "--wind"));
    LEEWARD_TRY(agree(*column, request.table.source, unitName(request.wind_unit), {"mph", "kmh", "ms"}, "--wind-unit"));
    wind.column = column;
  }
  FileAnswer answer;
  std::vector<double> heat(layer.rows(), kNan), chill(layer.rows(), kNan);
  const auto inUnit = [&](double index_f) { return celsius ? analysis::celsiusOf(index_f) : index_f; };
  for (std::size_t row = 0; row < layer.rows(); ++row) {
    std::string reason;
    const Measured* at_fault = nullptr;
    const auto read = [&](const Measured& one) {
      const double value = one.column != nullptr ? one.at(row, reason) : kNan;
      if (!reason.empty() && at_fault == nullptr) at_fault = &one;
      return value;
    };
    const double t = read(air), r = read(humidity), w = read(wind);
    if (at_fault != nullptr) {
      answer.refused.push_back(refusedRow(layer.table, row, at_fault->column->name(), reason));
      continue;
    }
    const double t_f = celsius ? analysis::fahrenheitOf(t) : t;
    heat[row] = inUnit(analysis::heatIndexF(t_f, r));
    chill[row] = inUnit(analysis::windChillF(t_f, toMph(w, request.wind_unit)));
  }
  TableMaker added;
  if (humidity.column != nullptr) added.reals(celsius ? "heat_index_c" : "heat_index_f", heat);
  if (wind.column != nullptr) added.reals(celsius ? "wind_chill_c" : "wind_chill_f", chill);
  addColumns(layer, added.done());
  answer.layer = std::move(layer);
  return answer;
}

}  // namespace leeward::study
