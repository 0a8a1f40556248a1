// A station's days, in degrees Celsius and millimetres.
#include <algorithm>
#include <array>
#include <cmath>
#include <unordered_map>

#include "importers/oddities.h"
#include "importers/public_parts.h"
#include "importers/values.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

constexpr double kHottestC = 60;        ///< no station has measured as much (record 56.7; from memory), so more is no Celsius
constexpr double kTooColdForF = 50;     ///< in a year or more, no place where dogs live stays below 50 F (10 C) on its warmest day
constexpr std::size_t kAboutAYear = 300;
constexpr double kMmPerInch = 25.4;

constexpr auto kFillers = std::to_array<double>({-99, 99.99, -99.9, -999, 999, -999.9, 999.9, -9999, 9999, -9999.9, 9999.9, -99999, 99999});

bool isFiller(double value, double filler_from) {
  return std::abs(value) >= filler_from && std::ranges::find(kFillers, value) != kFillers.end();
}

struct Measured {
  Rows::Slot slot;
  std::vector<double> values;  ///< by row, nan = missing
};

/// Reads one column; fillers become missing and are counted; bad numbers refuse their row.
/// filler_from: fillers below are possible values of the column (99 F, 99 %).
Measured measured(PublicParts& parts, std::string_view field, double filler_from) {
  Measured column{parts.rows.slot(field), std::vector<double>(parts.rows.size(), std::nan(""))};
  if (!column.slot) return column;
  const NumberStyle style = numberStyleOf(parts.source.layer.table.column(static_cast<std::size_t>(column.slot.column)));
  if (!style.remark.empty()) parts.remark(style.remark);
  std::size_t fillers = 0;
  for (std::size_t row = 0; row < column.values.size(); ++row) {
    if (parts.refused[row]) continue;
    const std::string_view text = parts.rows.at(column.slot, row);
    if (text == "T" || text == "t") {  // a trace of rain
      column.values[row] = 0;
      continue;
    }
    const auto number = readNumber(text == "M" || text == "NA" ? std::string_view{} : text, style);
    if (number.bad()) parts.refuse(row, column.slot, number.why);
    else if (number.value && isFiller(*number.value, filler_from)) ++fillers;
    else if (number.value) column.values[row] = *number.value;
  }
  if (fillers > 0) parts.remark(fmt::format("{}: {} fillers such as -99.9 or 9999 were taken as missing", parts.rows.heading(column.slot), fillers));
  for (const OddConstant& odd : oddConstants(column.values)) {
    if (field == "precipitation" || field == "wind") continue;  // many days have none
    parts.remark(fmt::format("{}: {} stands {} times while nearly all other values lie between {} and {}; is it a missing value?",
                             parts.rows.heading(column.slot), formatNumber(odd.value), odd.count, formatNumber(odd.low), formatNumber(odd.high)));
  }
  return column;
}

double highest(const Measured& column) {
  double most = -std::numeric_limits<double>::infinity();
  for (const double value : column.values) {
    if (!std::isnan(value)) most = std::max(most, value);
  }
  return most;
}

/// "c", "f" or "tenths".
Result<std::string> temperatureUnit(PublicParts& parts, const Measured& tmax) {
  std::string unit = lowerAscii(parts.map.setting("unit"));
  std::erase_if(unit, [](char c) { return static_cast<unsigned char>(c) >= 0x80 || c == ' '; });
  if (const Pick* pick = parts.map.find("tmax"); unit.empty() && pick != nullptr) unit = pick->unit;
  if (unit == "celsius") unit = "c";
  if (unit == "fahrenheit") unit = "f";
  if (unit == "c" || unit == "f" || unit == "tenths") return unit;
  const Problem unclear{ProblemCode::BadData, fmt::format("The unit of the temperatures in column '{}' is not known", parts.rows.heading(tmax.slot)),
                        parts.report.file, "Say it: --map unit=C or unit=F (unit=tenths for tenths of a degree Celsius)"};
  if (!unit.empty()) return Problem{ProblemCode::InvalidArgument, fmt::format("'{}' is no unit of temperatures", unit), "--map unit=" + unit, unclear.mend};
  const double most = highest(tmax);
  const auto days = static_cast<std::size_t>(std::ranges::count_if(tmax.values, [](double value) { return !std::isnan(value); }));
  if (most > 140) return unclear;
  if (most > kHottestC) {
    parts.remark(fmt::format("The temperatures are taken as degrees Fahrenheit: up to {}, more than Celsius can be", formatNumber(most)));
    return std::string("f");
  }
  if (days >= kAboutAYear && most < kTooColdForF) {
    parts.remark(fmt::format("The temperatures are taken as degrees Celsius: in {} days none reached 50, which would be a year without a mild day in Fahrenheit", days));
    return std::string("c");
  }
  return unclear;
}

void toCelsius(Measured& column, const std::string& unit) {
  for (double& value : column.values) {
    if (unit == "f") value = (value - 32) / 1.8;
    if (unit == "tenths") value /= 10;
  }
}

void toMillimetres(PublicParts& parts, Measured& rain, const std::string& temperature) {
  if (!rain.slot) return;
  std::string unit = parts.map.find("precipitation")->unit;
  if (unit != "mm" && unit != "in" && unit != "cm") {
    unit = temperature == "f" ? "in" : temperature == "tenths" ? "tenths" : "mm";
    parts.remark(fmt::format("The heading '{}' names no unit; precipitation is taken as {}", parts.rows.heading(rain.slot),
                             unit == "in" ? "inches" : unit == "mm" ? "millimetres" : "tenths of a millimetre"));
  }
  for (double& value : rain.values) value *= unit == "in" ? kMmPerInch : unit == "cm" ? 10 : unit == "tenths" ? 0.1 : 1;
}

void refuseOutOfRange(PublicParts& parts, const Measured& column, double low, double high, std::string_view what) {
  for (std::size_t row = 0; row < column.values.size(); ++row) {
    const double value = column.values[row];
    if (!parts.refused[row] && !std::isnan(value) && (value < low || value > high)) {
      parts.refuse(row, column.slot, fmt::format("{} lies between {} and {}", what, low, high));
    }
  }
}

}  // namespace

Result<Layer> tidyWeather(PublicParts& parts, Progress& progress) {
  const Rows& rows = parts.rows;
  const Rows::Slot date = rows.slot("date");
  const DateStyle style = dateStyleOf(parts.source.layer.table.column(static_cast<std::size_t>(date.column)), parts.map.setting("date_order"));
  if (auto undecided = undecidedDates(style, rows.heading(date))) return (*std::move(undecided)).at(parts.report.file);
  if (!style.remark.empty()) parts.remark(style.remark);
  std::vector<Date> days(rows.size());
  std::unordered_map<std::int32_t, std::size_t> first;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (parts.refused[row]) continue;
    const auto day = readDate(rows.at(date, row), style);
    if (!day.value) {
      parts.refuse(row, date, day.bad() ? day.why : "there is no date");
      continue;
    }
    days[row] = day.value->date;
    const auto [at, fresh] = first.emplace(days[row].days, row);
    if (!fresh) parts.refuse(row, date, fmt::format("the day stands in line {} already; one row a day is needed", rows.line(at->second)));
  }
  LEEWARD_TRY(progress.checkStop());
  Measured tmax = measured(parts, "tmax", 99.9), tmin = measured(parts, "tmin", 99.9);
  Measured rain = measured(parts, "precipitation", 99.9), humidity = measured(parts, "humidity", 100.1), wind = measured(parts, "wind", 99.9);
  LEEWARD_ASSIGN(unit, temperatureUnit(parts, tmax));
  for (Measured* column : {&tmax, &tmin}) {
    toCelsius(*column, unit);
    refuseOutOfRange(parts, *column, -90, kHottestC, "a temperature in degrees Celsius");
  }
  if (unit != "c") parts.remark("Temperatures were converted to degrees Celsius");
  toMillimetres(parts, rain, unit);
  refuseOutOfRange(parts, rain, 0, 2000, "a day's precipitation in millimetres");
  if (humidity.slot && highest(humidity) <= 1) {
    for (double& value : humidity.values) value *= 100;
    parts.remark("Humidity was given as a share and is taken in percent");
  }
  refuseOutOfRange(parts, humidity, 0, 100, "a relative humidity in percent");
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (!parts.refused[row] && tmin.values[row] > tmax.values[row]) parts.refuse(row, tmin.slot, "the lowest temperature is above the highest");
  }
  parts.unit = "°C";
  Layer layer;
  Column iso("date", Column::Kind::Text);
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (!parts.refused[row]) iso.addText(toIso(days[row]));
  }
  layer.table.add(std::move(iso));
  for (const auto& [name, column] : {std::pair("tmax_c", &tmax), {"tmin_c", &tmin}, {"precipitation_mm", &rain}, {"humidity", &humidity}, {"wind", &wind}}) {
    Column out(name, Column::Kind::Real);
    for (std::size_t row = 0; row < rows.size(); ++row) {
      if (!parts.refused[row]) out.addReal(column->values[row]);
    }
    layer.table.add(std::move(out));
  }
  return layer;
}

}  // namespace leeward::importers
