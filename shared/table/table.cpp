#include "shared/table/table.h"

#include <cassert>
#include <cmath>
#include <limits>

#include "shared/base/text.h"

namespace leeward {

Column::Column(std::string name, Kind kind) : name_(std::move(name)), kind_(kind) {
  if (kind == Kind::Integer) values_ = std::vector<std::int64_t>{};
  if (kind == Kind::Real) values_ = std::vector<double>{};
}

Column Column::text(std::string name, const std::vector<std::string>& values) {
  Column column(std::move(name), Kind::Text);
  column.reserve(values.size());
  for (const auto& value : values) column.addText(value);
  return column;
}

Column Column::reals(std::string name, const std::vector<double>& values) {
  Column column(std::move(name), Kind::Real);
  column.reserve(values.size());
  for (const double value : values) column.addReal(value);
  return column;
}

Column Column::integers(std::string name, const std::vector<std::int64_t>& values) {
  Column column(std::move(name), Kind::Integer);
  column.reserve(values.size());
  for (const auto value : values) column.addInteger(value);
  return column;
}

Column::Column(std::string name, std::string bytes, std::vector<std::uint64_t> ends, std::vector<std::uint8_t> present)
    : name_(std::move(name)), kind_(Kind::Text), values_(Texts{std::move(bytes), std::move(ends)}), present_(std::move(present)) {
  assert(std::get<Texts>(values_).ends.size() == present_.size());
}

Column::Column(std::string name, std::vector<std::int64_t> values, std::vector<std::uint8_t> present)
    : name_(std::move(name)), kind_(Kind::Integer), values_(std::move(values)), present_(std::move(present)) {
  assert(std::get<std::vector<std::int64_t>>(values_).size() == present_.size());
}

Column::Column(std::string name, std::vector<double> values, std::vector<std::uint8_t> present)
    : name_(std::move(name)), kind_(Kind::Real), present_(std::move(present)) {
  assert(values.size() == present_.size());
  for (std::size_t row = 0; row < values.size(); ++row) {
    if (present_[row] == 0) values[row] = std::numeric_limits<double>::quiet_NaN();
  }
  values_ = std::move(values);
}

void Column::reserve(std::size_t rows) {
  present_.reserve(rows);
  if (auto* texts = std::get_if<Texts>(&values_)) texts->ends.reserve(rows);
  else if (auto* integers = std::get_if<std::vector<std::int64_t>>(&values_)) integers->reserve(rows);
  else std::get<std::vector<double>>(values_).reserve(rows);
}

void Column::expect(double times) {
  const auto enough = [times](std::size_t now) { return static_cast<std::size_t>(static_cast<double>(now) * times * 1.02) + 1; };
  reserve(enough(size()));
  if (auto* texts = std::get_if<Texts>(&values_)) texts->bytes.reserve(enough(texts->bytes.size()));
}

void Column::addMissing() {
  present_.push_back(0);
  if (auto* texts = std::get_if<Texts>(&values_)) texts->ends.push_back(texts->bytes.size());
  else if (auto* integers = std::get_if<std::vector<std::int64_t>>(&values_)) integers->push_back(0);
  else std::get<std::vector<double>>(values_).push_back(std::numeric_limits<double>::quiet_NaN());
}

void Column::addText(std::string_view value) {
  auto& texts = std::get<Texts>(values_);
  texts.bytes += value;
  texts.ends.push_back(texts.bytes.size());
  present_.push_back(1);
}

void Column::addInteger(std::int64_t value) {
  std::get<std::vector<std::int64_t>>(values_).push_back(value);
  present_.push_back(1);
}

void Column::addReal(double value) {
  std::get<std::vector<double>>(values_).push_back(value);
  present_.push_back(std::isnan(value) ? 0 : 1);
}

std::string_view Column::textAt(std::size_t row) const {
  const auto& texts = std::get<Texts>(values_);
  const std::uint64_t begin = row == 0 ? 0 : texts.ends[row - 1];
  return std::string_view(texts.bytes).substr(begin, texts.ends[row] - begin);
}

std::string Column::asText(std::size_t row) const {
  if (isMissing(row)) return {};
  if (kind_ == Kind::Text) return std::string(textAt(row));
  if (kind_ == Kind::Integer) return std::to_string(std::get<std::vector<std::int64_t>>(values_)[row]);
  return formatNumber(std::get<std::vector<double>>(values_)[row]);
}

std::optional<double> Column::asReal(std::size_t row) const {
  if (isMissing(row)) return std::nullopt;
  if (kind_ == Kind::Text) return parseNumber(textAt(row));
  if (kind_ == Kind::Integer) return static_cast<double>(std::get<std::vector<std::int64_t>>(values_)[row]);
  return std::get<std::vector<double>>(values_)[row];
}

std::optional<std::int64_t> Column::asInteger(std::size_t row) const {
  if (isMissing(row)) return std::nullopt;
  if (kind_ == Kind::Text) return parseInteger(textAt(row));
  if (kind_ == Kind::Integer) return std::get<std::vector<std::int64_t>>(values_)[row];
  const double value = std::get<std::vector<double>>(values_)[row];
  if (value != std::trunc(value) || std::abs(value) > 9e15) return std::nullopt;
  return static_cast<std::int64_t>(value);
}

std::vector<double> Column::toReals() const {
  std::vector<double> reals(size());
  for (std::size_t row = 0; row < size(); ++row) reals[row] = asReal(row).value_or(std::numeric_limits<double>::quiet_NaN());
  return reals;
}

Column& Table::add(Column column) {
  assert(columns_.empty() || column.size() == rows());
  std::string name = column.name();
  for (int i = 2; indexOf(name) && columns_[*indexOf(name)].name() == name; ++i) name = column.name() + "_" + std::to_string(i);
  column.rename(std::move(name));
  return columns_.emplace_back(std::move(column));
}

std::optional<std::size_t> Table::indexOf(std::string_view name) const {
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    if (columns_[i].name() == name) return i;
  }
  const std::string lower = lowerAscii(name);
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    if (lowerAscii(columns_[i].name()) == lower) return i;
  }
  return std::nullopt;
}

const Column* Table::find(std::string_view name) const {
  const auto index = indexOf(name);
  return index ? &columns_[*index] : nullptr;
}

std::vector<std::string> Table::names() const {
  std::vector<std::string> names;
  for (const auto& column : columns_) names.push_back(column.name());
  return names;
}

Table Table::take(const std::vector<std::size_t>& rows) const {
  Table taken;
  taken.setRows(rows.size());
  for (const auto& column : columns_) {
    Column copy(column.name(), column.kind());
    copy.reserve(rows.size());
    for (const std::size_t row : rows) {
      if (column.isMissing(row)) copy.addMissing();
      else if (column.kind() == Column::Kind::Text) copy.addText(column.textAt(row));
      else if (column.kind() == Column::Kind::Integer) copy.addInteger(*column.asInteger(row));
      else copy.addReal(*column.asReal(row));
    }
    taken.add(std::move(copy));
  }
  if (!lines.empty()) {
    for (const std::size_t row : rows) taken.lines.push_back(lines[row]);
  }
  return taken;
}

}  // namespace leeward
