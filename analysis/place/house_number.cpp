#include "analysis/place/house_number.h"

#include <cmath>

#include "shared/base/text.h"
#include "shared/geo/overlay.h"

namespace leeward::analysis {
namespace {

constexpr int kWidestRange = 60;  ///< "12-16" is a range, "45-18" or "12-300" is one number


/// The figures at the front, taken off; nothing for more than nine.
std::optional<int> takeFigures(std::string_view& text) {
  std::size_t count = 0;
  int value = 0;
  while (count < text.size() && isDigit(text[count])) {
    if (count == 9) return std::nullopt;
    value = value * 10 + (text[count++] - '0');
  }
  if (count == 0) return std::nullopt;
  text.remove_prefix(count);
  return value;
}

std::string withoutMarks(std::string_view text) {
  std::string kept;
  for (const char c : text) {
    if (c != ' ' && c != '-' && c != '.' && c != ',') kept.push_back(c);
  }
  return upperAscii(kept);
}

}  // namespace

std::optional<HouseNumber> readHouseNumber(std::string_view text) {
  HouseNumber out;
  text = trim(text);
  std::size_t first = 0;
  while (first < text.size() && !isDigit(text[first])) ++first;
  if (first == text.size() || first > 8) return std::nullopt;
  std::string_view rest = text.substr(first);
  // A grid number (N6W23001) keeps everything before its last figures as prefix.
  std::size_t last_figures = text.size();
  while (last_figures > 0 && isDigit(text[last_figures - 1])) --last_figures;
  const bool grid = first > 0 && last_figures > first && last_figures < text.size() && text.find('-') == std::string_view::npos;
  if (grid) rest = text.substr(last_figures);
  out.prefix = withoutMarks(text.substr(0, grid ? last_figures : first));
  const auto number = takeFigures(rest);
  if (!number) return std::nullopt;
  out.number = *number;
  out.last = *number;
  rest = trim(rest);
  if (rest.starts_with('-') && rest.size() > 1 && isDigit(rest[1]) && rest.find('/') == std::string_view::npos) {
    std::string_view tail = rest.substr(1);
    const auto end = takeFigures(tail);
    if (end && tail.empty() && *end > out.number && *end - out.number <= kWidestRange) {
      out.last = *end;
      return out;
    }
    out.suffix = upperAscii(rest);
    return out;
  }
  out.suffix = withoutMarks(rest);
  return out;
}

std::optional<SideRange> readSide(std::string_view from, std::string_view to) {
  const auto first = readHouseNumber(from);
  const auto last = readHouseNumber(to);
  if (!first || !last || (first->number == 0 && last->number == 0) || first->prefix != last->prefix) return std::nullopt;
  SideRange side{first->prefix, first->number, last->number, Parity::Both};
  if (side.from % 2 == side.to % 2) side.parity = side.from % 2 == 1 ? Parity::Odd : Parity::Even;
  return side;
}

bool inside(const SideRange& range, const HouseNumber& number, bool* parity_agrees) {
  if (parity_agrees != nullptr) {
    *parity_agrees = range.parity == Parity::Both || (range.parity == Parity::Odd) == (number.number % 2 == 1);
  }
  if (range.prefix != number.prefix) return false;
  return number.number >= std::min(range.from, range.to) && number.number <= std::max(range.from, range.to);
}

double shareAlong(const SideRange& range, int number) {
  return range.from == range.to ? 0.5 : static_cast<double>(number - range.from) / (range.to - range.from);
}

Point placeAlong(std::span<const Point> line, double share, bool left, double offset_m, double inset_m) {
  double length = 0;
  for (std::size_t i = 1; i < line.size(); ++i) length += std::hypot(line[i].x - line[i - 1].x, line[i].y - line[i - 1].y);
  if (length <= 0) return line.empty() ? Point{} : line.front();
  const double inset = std::min(inset_m, length / 4);
  const double at = inset + std::clamp(share, 0.0, 1.0) * (length - 2 * inset);
  return alongPath(line, at / length, left ? offset_m : -offset_m);
}

}  // namespace leeward::analysis
