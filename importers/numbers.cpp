// Numbers with whatever marks people and spreadsheets put into them.
#include <algorithm>

#include "importers/fold.h"
#include "importers/values.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

/// A number's text with blanks and apostrophes between digits taken out, if they part groups of three ("12 500", "1'234'567").
std::string ungrouped(std::string_view text) {
  std::string plain = folded(trim(text));
  for (const char mark : {' ', '\''}) {
    if (plain.find(mark) == std::string::npos) continue;
    std::string_view whole = std::string_view(plain).substr(0, plain.find_first_of(".,"));
    if (whole.starts_with('-') || whole.starts_with('+')) whole.remove_prefix(1);
    const auto groups = split(whole, mark);
    const bool good = !groups[0].empty() && groups[0].size() <= 3 && std::ranges::all_of(groups, [&](std::string_view group) { return allDigits(group); }) &&
                      std::all_of(groups.begin() + 1, groups.end(), [](std::string_view group) { return group.size() == 3; });
    if (good) std::erase(plain, mark);
  }
  return plain;
}

/// '.' or ',' if only that can be the decimal mark, '?' if either, ' ' if the text has neither.
char decimalMark(std::string_view text) {
  const auto dots = std::ranges::count(text, '.'), commas = std::ranges::count(text, ',');
  if (dots > 0 && commas > 0) return text.rfind('.') > text.rfind(',') ? '.' : ',';
  if (dots > 1) return ',';
  if (commas > 1) return '.';
  if (dots + commas == 0) return ' ';
  const std::size_t at = text.find_first_of(".,");
  std::string_view whole = text.substr(0, at);
  if (whole.starts_with('-') || whole.starts_with('+')) whole.remove_prefix(1);
  const bool parts_thousands = text.size() - at - 1 == 3 && !whole.empty() && whole.size() <= 3 && whole != "0";
  return parts_thousands ? '?' : text[at];
}

/// The number with that decimal mark; the other one parts thousands, in groups of three.
std::optional<double> valueWith(std::string_view text, char decimal) {
  const char group = decimal == '.' ? ',' : '.';
  const std::size_t point = text.find(decimal);
  std::string_view whole = text.substr(0, point);
  if (text.find(group, point == std::string_view::npos ? text.size() : point) != std::string_view::npos) return std::nullopt;
  const auto groups = split(whole, group);
  for (std::size_t i = 1; i < groups.size(); ++i) {
    if (groups[i].size() != 3 || !allDigits(groups[i])) return std::nullopt;
  }
  const bool short_first = groups[0].size() <= (groups[0].starts_with('-') ? 4U : 3U);
  if (groups.size() > 1 && (!short_first || groups[0].empty() || groups[0] == "-")) return std::nullopt;
  std::string plain(whole);
  std::erase(plain, group);
  if (point != std::string_view::npos) plain.append(".").append(text.substr(point + 1));
  return parseNumber(plain);
}

}  // namespace

NumberStyle numberStyleOf(const Column& column) {
  NumberStyle style;
  if (column.kind() != Column::Kind::Text) return style;
  std::size_t points = 0, commas = 0, either = 0;
  for (std::size_t row = 0; row < column.size(); ++row) {
    const std::string_view cell = column.textAt(row);
    if (cell.find_first_of(".,") == std::string_view::npos) continue;
    const std::string text = ungrouped(cell);
    if (!valueWith(text, '.') && !valueWith(text, ',')) continue;
    const char mark = decimalMark(text);
    ++(mark == ',' ? commas : mark == '.' ? points : either);
  }
  if (commas > points) style.decimal = ',';
  style.mixed = commas > 0 && points > 0;
  if (style.mixed && either > 0) {
    style.remark = fmt::format("Numbers in column '{}' have decimal commas ({}) and decimal points ({}); {} that could be either are refused", column.name(), commas, points, either);
  } else if (style.decimal == ',') {
    style.remark = fmt::format("Numbers in column '{}' are read with a decimal comma", column.name());
  }
  return style;
}

Reading<double> readNumber(std::string_view text, const NumberStyle& style) {
  text = trim(text);
  if (text.empty()) return {};
  const bool has_comma = text.find(',') != std::string_view::npos;
  if (!has_comma && style.decimal == '.' && !style.mixed) {
    if (const auto plain = parseNumber(text)) return {plain, {}};
  }
  const std::string bare = ungrouped(text);
  const char mark = decimalMark(bare);
  if (mark == '?' && style.mixed) return {{}, "a comma or point can mark thousands or decimals here, the column shows both; write it without one for thousands"};
  const auto value = valueWith(bare, mark == '.' || mark == ',' ? mark : style.decimal);
  if (!value) return {{}, "this is no number"};
  return {value, {}};
}

}  // namespace leeward::importers
