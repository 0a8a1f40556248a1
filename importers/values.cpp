// Numbers, positions and lists in cells.
#include "importers/values.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "importers/fold.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

/// Degrees of any writing; nothing if it is none. positive and negative: letters of the two half-spheres.
std::optional<double> degrees(std::string_view text, char positive, char negative) {
  if (const auto plain = parseNumber(text)) return plain;
  int sign = 0;
  double parts[3] = {0, 0, 0};
  std::size_t count = 0;
  for (std::size_t i = 0; i < text.size();) {
    const char c = text[i];
    const char upper = c >= 'a' && c <= 'z' ? static_cast<char>(c - 32) : c;
    if (upper == positive || upper == negative) {
      if (sign != 0) return std::nullopt;
      sign = upper == positive ? 1 : -1;
      ++i;
    } else if (c == '-' && count == 0) {
      if (sign != 0) return std::nullopt;
      sign = -1;
      ++i;
    } else if (isDigit(c)) {
      std::size_t end = i;
      while (end < text.size() && (isDigit(text[end]) || text[end] == '.' || text[end] == ',')) ++end;
      std::string number(text.substr(i, end - i));
      std::ranges::replace(number, ',', '.');
      const auto value = parseNumber(number);
      if (!value || count == 3) return std::nullopt;
      parts[count++] = *value;
      i = end;
    } else if (c == ' ' || c == '\'' || c == '"' || c == ':' || static_cast<unsigned char>(c) >= 0x80) {
      ++i;  // degree, minute and second marks
    } else {
      return std::nullopt;
    }
  }
  if (count == 0 || parts[1] >= 60 || parts[2] >= 60) return std::nullopt;
  return (sign < 0 ? -1 : 1) * (parts[0] + parts[1] / 60 + parts[2] / 3600);
}

Reading<double> readDegrees(std::string_view text, char positive, char negative, double most, std::string_view name) {
  text = trim(text);
  if (text.empty()) return {};
  const auto value = degrees(text, positive, negative);
  if (!value) return {{}, fmt::format("this is no {}; write decimal degrees such as -71.105", name)};
  if (std::abs(*value) > most) return {{}, fmt::format("a {} lies between -{} and {}", name, most, most)};
  return {value, {}};
}

/// Splits "12.5 kg" or "12.5kg"; false if there is no number in front.
bool splitWeight(std::string_view text, double& weight, std::string& unit) {
  std::size_t end = 0;
  while (end < text.size() && (isDigit(text[end]) || text[end] == '.' || text[end] == ',')) ++end;
  const auto number = readNumber(text.substr(0, end));
  if (!number.value) return false;
  weight = *number.value;
  unit = lowerAscii(trim(text.substr(end)));
  if (unit == "lbs" || unit == "pounds" || unit == "pound") unit = "lb";
  if (unit == "kgs" || unit == "kilos" || unit == "kilo") unit = "kg";
  return unit.empty() || unit == "kg" || unit == "lb";
}

/// One piece of a list: "straw 2", "straw x2", "straw (2)", "2 x straw", "2 straw", "swivel".
Item itemOf(std::string_view piece) {
  const auto bare = [](std::string_view number) {
    if (number.starts_with('(') && number.ends_with(')')) number = number.substr(1, number.size() - 2);
    if (number.starts_with('x') || number.starts_with('X')) number.remove_prefix(1);
    if (number.ends_with('x') || number.ends_with('X')) number.remove_suffix(1);
    return parseNumber(number);
  };
  const std::size_t last = piece.find_last_of(" :=");
  if (last != std::string_view::npos) {
    if (const auto count = bare(piece.substr(last + 1)); count && *count >= 0) {
      std::string_view name = trim(piece.substr(0, last));
      if (name.ends_with(" x") || name.ends_with(':') || name.ends_with('=')) name = trim(name.substr(0, name.size() - 1));
      return {lowerAscii(name), *count};
    }
    const std::size_t first = piece.find(' ');
    if (const auto count = bare(piece.substr(0, first)); count && *count >= 0) {
      std::string_view name = trim(piece.substr(first + 1));
      if (name.starts_with("x ")) name = trim(name.substr(2));
      return {lowerAscii(name), *count};
    }
  }
  return {lowerAscii(piece), 1};
}

}  // namespace

Reading<std::int64_t> readCount(std::string_view text, std::int64_t most) {
  static constexpr std::array<std::string_view, 13> kWords = {"none",  "one",   "two",  "three", "four",   "five",  "six",
                                                              "seven", "eight", "nine", "ten",   "eleven", "twelve"};
  static constexpr std::array<std::string_view, 13> kPalabras = {"ninguno", "uno",  "dos",   "tres", "cuatro", "cinco", "seis",
                                                                 "siete",   "ocho", "nueve", "diez", "once",   "doce"};
  text = trim(text);
  if (text.empty()) return {};
  std::optional<double> value = parseNumber(text);
  if (!value) {
    const std::string plain = folded(text);
    const auto word = std::ranges::find(kWords, plain);
    const auto palabra = std::ranges::find(kPalabras, plain);
    if (word != kWords.end()) value = static_cast<double>(word - kWords.begin());
    else if (palabra != kPalabras.end()) value = static_cast<double>(palabra - kPalabras.begin());
    else if (plain == "zero" || plain == "cero" || plain == "ninguna" || text == "-") value = 0;
    else if (plain == "un" || plain == "una") value = 1;
  }
  if (!value || *value != std::trunc(*value)) return {{}, "this is no count; write a whole number"};
  if (*value < 0 || *value > static_cast<double>(most)) return {{}, fmt::format("a count here lies between 0 and {}", most)};
  return {static_cast<std::int64_t>(*value), {}};
}

Reading<double> readLongitude(std::string_view text) { return readDegrees(text, 'E', 'W', 180, "longitude"); }
Reading<double> readLatitude(std::string_view text) { return readDegrees(text, 'N', 'S', 90, "latitude"); }

Reading<std::vector<Item>> readItems(std::string_view text) {
  text = trim(text);
  if (text.empty()) return {};
  std::vector<Item> items;
  while (!text.empty()) {
    const std::size_t end = text.find_first_of(";,+\n");
    const std::string_view piece = trim(text.substr(0, end));
    text = end == std::string_view::npos ? std::string_view{} : text.substr(end + 1);
    if (piece.empty()) continue;
    Item item = itemOf(piece);
    if (item.item.empty()) return {{}, fmt::format("'{}' names nothing; write for instance: straw 2; swivel 1", piece)};
    const auto known = std::ranges::find(items, item.item, &Item::item);
    if (known != items.end()) known->quantity += item.quantity;
    else items.push_back(std::move(item));
  }
  return {std::move(items), {}};
}

Reading<std::vector<Treatment>> readTreatments(std::string_view text, const DateStyle& style) {
  text = trim(text);
  if (text.empty()) return {};
  std::vector<Treatment> treatments;
  for (const std::string_view whole : split(text, ';')) {
    if (trim(whole).empty()) continue;
    const auto parts = split(whole, '|');
    if (parts.size() > 4) return {{}, "a treatment is written product|lot|weight unit|next due"};
    Treatment treatment;
    treatment.product = trim(parts[0]);
    if (treatment.product.empty()) return {{}, "a treatment needs its product: product|lot|weight unit"};
    if (parts.size() > 1) treatment.lot = trim(parts[1]);
    if (parts.size() > 2 && !trim(parts[2]).empty()) {
      double weight = 0;
      if (!splitWeight(trim(parts[2]), weight, treatment.weight_unit) || weight <= 0 || weight > 500) {
        return {{}, fmt::format("'{}' is no weight with a unit; write for instance 12.5 kg", trim(parts[2]))};
      }
      if (treatment.weight_unit.empty()) return {{}, fmt::format("the weight '{}' has no unit; write kg or lb behind it", trim(parts[2]))};
      treatment.weight = weight;
    }
    if (parts.size() > 3) {
      const auto due = readDate(parts[3], style);
      if (due.bad()) return {{}, "next due: " + due.why};
      if (due.value) treatment.next_due = toIso(due.value->date);
    }
    treatments.push_back(std::move(treatment));
  }
  return {std::move(treatments), {}};
}

}  // namespace leeward::importers
