// Guessing which column serves which field: heading names weighed by contents, then the best assignment.
#include <algorithm>
#include <cmath>
#include <limits>

#include "importers/column_map.h"
#include "importers/nearest_name.h"
#include "importers/values.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

constexpr double kLeast = 0.5;            ///< below, a field stays without column
constexpr std::size_t kLookedAt = 200;    ///< values a column that are looked at
constexpr std::size_t kSampleLength = 30;

std::string withoutBlanks(std::string_view text) {
  std::string out(text);
  std::erase(out, ' ');
  return out;
}

/// "geoid20" -> "geoid": vintages at the end of a heading.
std::string withoutVintage(std::string_view text) {
  std::size_t end = text.size();
  while (end > 0 && text[end - 1] >= '0' && text[end - 1] <= '9') --end;
  const std::size_t digits = text.size() - end;
  return std::string(digits == 2 || digits == 4 ? trim(text.substr(0, end)) : text);
}

/// Share of the heading's words that the name has, if all of the name's words (of two letters or more) are in it.
double wordShare(std::string_view name, std::string_view heading) {
  const auto have = split(heading, ' ');
  const auto want = split(name, ' ');
  for (const std::string_view word : want) {
    if (word.size() < 2 || std::ranges::find(have, word) == have.end()) return 0;
  }
  return static_cast<double>(want.size()) / static_cast<double>(have.size());
}

double nameScore(std::string_view name, std::string_view heading) {
  if (heading == name) return 1.0;
  if (withoutBlanks(heading) == withoutBlanks(name)) return 0.98;
  if (const std::string plain = withoutVintage(heading); !plain.empty() && plain != heading && plain == name) return 0.97;
  if (const double share = wordShare(name, heading); share > 0) return 0.6 + 0.25 * share;
  const std::size_t allowed = name.size() >= 8 ? 2 : name.size() >= 5 ? 1 : 0;
  if (allowed > 0 && heading.size() >= 5 && editDistance(name, heading) <= allowed) return 0.75;
  return 0;
}

double headingScore(const Field& field, const std::string& heading) {
  if (heading.empty() || field.type == FieldType::Setting) return 0;
  std::string own(field.name);
  std::ranges::replace(own, '_', ' ');
  double best = nameScore(own, heading);
  double weight = 0.95;  // an earlier synonym is the better one
  if (field.synonyms.empty()) return best;
  for (const std::string_view synonym : split(field.synonyms, '|')) {
    best = std::max(best, weight * nameScore(synonym, heading));
    weight -= 0.002;
  }
  return best;
}

bool looksLikeAddress(std::string_view text) {
  text = trim(text);
  const bool corner = text.find(" & ") != std::string_view::npos || lowerAscii(text).find(" and ") != std::string::npos;
  const std::size_t blank = text.find(' ');
  const bool starts = !text.empty() && text.front() >= '0' && text.front() <= '9' && blank != std::string_view::npos && blank < 9;
  const bool letters = std::ranges::any_of(text, [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); });
  return letters && (starts || corner) && readDate(text, {}).bad();
}

/// Whether one value could belong to the field; for types without a shape of their own, always.
bool fits(const Field& field, std::string_view text) {
  switch (field.type) {
    case FieldType::Text:
    case FieldType::Id:
    case FieldType::List:
    case FieldType::Setting: return true;
    case FieldType::Address: return looksLikeAddress(text);
    case FieldType::Number: return !readNumber(text).bad();
    case FieldType::Count: return !readCount(text, 1000).bad();
    case FieldType::Longitude: return !readLongitude(text).bad() || !readNumber(text).bad();
    case FieldType::Latitude: return !readLatitude(text).bad() || !readNumber(text).bad();
    case FieldType::Date: return !readDate(text, {}).bad() || !readDate(text, {DateOrder::DayFirst, false, {}}).bad();
    case FieldType::Time: return !readTime(text).bad();
    case FieldType::YesNo: return !readYesNo(text).bad();
    case FieldType::Check: return !readCheck(text).bad() || text == "x";
    case FieldType::Word: break;
  }
  if (field.name == "look") return !readLook(text).bad();
  if (field.name == "why_here") return !readWhyHere(text).bad();
  if (field.name == "door_result") return !readDoorResult(text).bad();
  if (field.name == "outcome") return !readOutcome(text).bad();
  if (field.name == "move") return !readStockMove(text).bad();
  if (field.name == "what") return !readSightingWhat(text).bad();
  return !readSightingSource(text).bad();
}

/// Up to kLookedAt values of a column, blanks left out.
std::vector<std::string> valuesOf(const Column& column) {
  std::vector<std::string> values;
  for (std::size_t row = 0; row < column.size() && values.size() < kLookedAt; ++row) {
    if (column.isMissing(row)) continue;
    if (std::string text = column.asText(row); !trim(text).empty()) values.push_back(std::move(text));
  }
  return values;
}

double contentShare(const Field& field, const std::vector<std::string>& values) {
  const auto good = std::ranges::count_if(values, [&](const std::string& value) { return fits(field, value); });
  return static_cast<double>(good) / static_cast<double>(values.size());
}

/// Heading and contents together, 0..1.
double confidence(const Field& field, const std::string& heading, const std::vector<std::string>& values) {
  const double named = headingScore(field, heading);
  if (named < kLeast) {
    // Without a telling heading, only contents that nothing else has speak for a column.
    const bool telling = field.required && field.type == FieldType::Date;
    if ((!telling && field.type != FieldType::Address) || values.size() < 3) return 0;
    if (telling && std::ranges::any_of(values, [](const std::string& value) { return parseNumber(value).has_value(); })) return 0;
    return contentShare(field, values) >= 0.9 ? 0.52 : 0;
  }
  if (field.type == FieldType::Text || field.type == FieldType::Id || field.type == FieldType::List) return named;
  if (values.empty()) return named * 0.9;
  const double share = contentShare(field, values);
  const double least = named >= 1.0 ? kLeast : field.type == FieldType::Word ? 0.7 : 0.4;
  return named * (least + (1 - least) * share);
}

/// A street without a number column is no part of an address but all of it: neither field counts without the other.
void needEachOther(const std::vector<Field>& list, std::vector<std::vector<double>>& score, std::string_view one, std::string_view other) {
  const auto a = std::ranges::find(list, one, &Field::name);
  const auto b = std::ranges::find(list, other, &Field::name);
  if (a == list.end() || b == list.end()) return;
  auto& first = score[static_cast<std::size_t>(a - list.begin())];
  auto& second = score[static_cast<std::size_t>(b - list.begin())];
  if (std::ranges::max(first) > 0 && std::ranges::max(second) > 0) return;
  std::ranges::fill(first, 0.0);
  std::ranges::fill(second, 0.0);
}

/// For each row the column that it gets, so that the sum of scores is the greatest; columns >= rows.
/// Kuhn-Munkres with potentials, O(rows^2 columns). Source: Kuhn 1955, Munkres 1957; this form is textbook.
std::vector<std::size_t> bestAssignment(const std::vector<std::vector<double>>& score) {
  const std::size_t rows = score.size();
  const std::size_t columns = score.front().size();
  std::vector<double> row_potential(rows + 1), column_potential(columns + 1);
  std::vector<std::size_t> owner(columns + 1, 0), way(columns + 1, 0);
  for (std::size_t row = 1; row <= rows; ++row) {
    owner[0] = row;
    std::size_t at = 0;
    std::vector<double> least(columns + 1, std::numeric_limits<double>::infinity());
    std::vector<bool> used(columns + 1, false);
    do {
      used[at] = true;
      const std::size_t current = owner[at];
      double delta = std::numeric_limits<double>::infinity();
      std::size_t next = 0;
      for (std::size_t column = 1; column <= columns; ++column) {
        if (used[column]) continue;
        const double cost = -score[current - 1][column - 1] - row_potential[current] - column_potential[column];
        if (cost < least[column]) least[column] = cost, way[column] = at;
        if (least[column] < delta) delta = least[column], next = column;
      }
      for (std::size_t column = 0; column <= columns; ++column) {
        if (used[column]) row_potential[owner[column]] += delta, column_potential[column] -= delta;
        else least[column] -= delta;
      }
      at = next;
    } while (owner[at] != 0);
    for (; at != 0; at = way[at]) owner[at] = owner[way[at]];
  }
  std::vector<std::size_t> chosen(rows);
  for (std::size_t column = 1; column <= columns; ++column) {
    if (owner[column] != 0) chosen[owner[column] - 1] = column - 1;
  }
  return chosen;
}

}  // namespace

std::vector<std::string> samplesOf(const Column& column) {
  std::vector<std::string> samples;
  for (const std::string& value : valuesOf(column)) {
    std::string text(trim(value));
    if (text.size() > kSampleLength) {
      std::size_t end = kSampleLength;
      while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0) == 0x80) --end;  // not inside a character
      text = text.substr(0, end) + "…";
    }
    if (std::ranges::find(samples, text) == samples.end()) samples.push_back(std::move(text));
    if (samples.size() == 3) break;
  }
  return samples;
}

ColumnMap guessColumns(Kind kind, const Table& table) {
  const auto& list = fields(kind);
  ColumnMap map;
  map.kind = kind;
  std::vector<std::vector<double>> score(list.size(), std::vector<double>(table.width() + list.size(), 0.0));
  std::vector<std::string> units(table.width());
  for (std::size_t c = 0; c < table.width(); ++c) {
    const std::string heading = normalHeading(table.column(c).name(), &units[c]);
    const auto values = valuesOf(table.column(c));
    for (std::size_t f = 0; f < list.size(); ++f) {
      const double sure = confidence(list[f], heading, values);
      // Squared: one sure pick is worth more than two doubtful ones.
      if (sure >= kLeast) score[f][c] = sure * sure - 1e-9 * static_cast<double>(c);
    }
  }
  needEachOther(list, score, "number", "street");
  const auto chosen = bestAssignment(score);
  std::vector<bool> used(table.width(), false);
  for (std::size_t f = 0; f < list.size(); ++f) {
    const std::size_t c = chosen[f];
    if (c >= table.width() || score[f][c] <= 0) continue;
    used[c] = true;
    map.picks.push_back({std::string(list[f].name), c, table.column(c).name(), units[c],
                         std::round(std::sqrt(score[f][c]) * 100) / 100, samplesOf(table.column(c))});
  }
  for (std::size_t c = 0; c < table.width(); ++c) {
    if (!used[c]) map.unused.push_back(table.column(c).name());
  }
  return map;
}

}  // namespace leeward::importers
