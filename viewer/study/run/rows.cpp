#include "viewer/study/run/rows.h"

#include <array>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <utility>

namespace leeward::study {

const Column& columnOf(const Table& table, const std::string& name) {
  const Column* column = table.find(name);
  if (column == nullptr) {
    std::fprintf(stderr, "leeward: a table of our own lacks its column %s\n", name.c_str());
    std::abort();
  }
  return *column;
}

std::optional<Date> dateAt(const Column& column, std::size_t row) {
  if (column.isMissing(row)) return std::nullopt;
  return parseIsoDate(column.textAt(row));
}

std::optional<Point> pointAt(const Table& table, std::size_t row) {
  const auto lon = columnOf(table, "lon").asReal(row);
  const auto lat = columnOf(table, "lat").asReal(row);
  if (!lon || !lat) return std::nullopt;
  return Point{*lon, *lat};
}

TableMaker& TableMaker::texts(std::string name, const std::vector<std::optional<std::string>>& values) {
  Column column(std::move(name), Column::Kind::Text);
  for (const auto& value : values) {
    if (value) column.addText(*value);
    else column.addMissing();
  }
  table_.add(std::move(column));
  return *this;
}

TableMaker& TableMaker::texts(std::string name, const std::vector<std::string>& values) {
  table_.add(Column::text(std::move(name), values));
  return *this;
}

TableMaker& TableMaker::named(std::string name, const std::vector<std::string>& values) {
  Column column(std::move(name), Column::Kind::Text);
  for (const auto& value : values) {
    if (value.empty()) column.addMissing();
    else column.addText(value);
  }
  table_.add(std::move(column));
  return *this;
}

TableMaker& TableMaker::rounded(std::string name, std::vector<double> values) {
  constexpr int kDigits = 7;
  constexpr std::array<double, 13> kPowers = {1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12};
  for (double& value : values) {
    if (value == 0 || !std::isfinite(value)) continue;
    const int decimals = kDigits - 1 - static_cast<int>(std::floor(std::log10(std::abs(value))));
    // By way of a power of ten that is exact: 10^-k is not, and would bring the digits back.
    const auto power = static_cast<std::size_t>(std::abs(decimals));
    const double scale = power < kPowers.size() ? kPowers[power] : std::pow(10.0, static_cast<double>(power));
    value = decimals >= 0 ? std::round(value * scale) / scale : std::round(value / scale) * scale;
  }
  return reals(std::move(name), values);
}

TableMaker& TableMaker::reals(std::string name, const std::vector<double>& values) {
  table_.add(Column::reals(std::move(name), values));
  return *this;
}

TableMaker& TableMaker::integers(std::string name, const std::vector<std::int64_t>& values) {
  table_.add(Column::integers(std::move(name), values));
  return *this;
}

TableMaker& TableMaker::integers(std::string name, const std::vector<std::optional<std::int64_t>>& values) {
  Column column(std::move(name), Column::Kind::Integer);
  for (const auto& value : values) {
    if (value) column.addInteger(*value);
    else column.addMissing();
  }
  table_.add(std::move(column));
  return *this;
}

}  // namespace leeward::study
