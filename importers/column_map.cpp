#include "importers/column_map.h"

#include <algorithm>
#include <array>

#include "importers/nearest_name.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

bool isUpper(char c) { return c >= 'A' && c <= 'Z'; }
bool isLower(char c) { return c >= 'a' && c <= 'z'; }

/// "°F", "deg C", "Celsius", "mm" -> "f", "c", "c", "mm".
std::string plainUnit(std::string_view unit) {
  std::string out;
  for (const char c : lowerAscii(unit)) {
    if (isLower(c) || isDigit(c) || c == '%') out += c;
  }
  for (const std::string_view degree : {"degrees", "degree", "deg"}) {
    if (out.size() > degree.size() && out.starts_with(degree)) out.erase(0, degree.size());
  }
  if (out == "celsius") return "c";
  if (out == "fahrenheit") return "f";
  if (out == "inches" || out == "inch") return "in";
  if (out == "percent" || out == "pct") return "%";
  return out;
}

std::string words(std::string_view heading) {
  std::string out;
  for (std::size_t i = 0; i < heading.size(); ++i) {
    const char c = heading[i];
    if (c == '#') {
      out += out.empty() || out.back() == ' ' ? "number " : " number ";
    } else if (isUpper(c) || isLower(c) || isDigit(c)) {
      if (i > 0 && isUpper(c) && isLower(heading[i - 1])) out += ' ';  // StreetName
      out += isUpper(c) ? static_cast<char>(c + 32) : c;
    } else if (static_cast<unsigned char>(c) >= 0x80) {
      out += c;
    } else if (c != '\'' && !out.empty() && out.back() != ' ') {
      out += ' ';
    }
  }
  return std::string(trim(out));
}

std::string list(const std::vector<std::string>& names) {
  constexpr std::size_t kShown = 40;
  std::vector<std::string> shown(names.begin(), names.begin() + static_cast<std::ptrdiff_t>(std::min(kShown, names.size())));
  if (names.size() > kShown) shown.push_back(fmt::format("and {} more", names.size() - kShown));
  return shown.empty() ? "none" : join(shown, ", ");
}

Problem noSuch(std::string_view what, const std::string& name, const std::vector<std::string>& names) {
  return {ProblemCode::InvalidArgument, fmt::format("There is no {} '{}'", what, name), "--map", "Nearest names: " + join(nearestNames(name, names), ", ")};
}

std::optional<std::size_t> columnNamed(const Table& table, const std::string& heading) {
  if (const auto index = table.indexOf(heading)) return index;
  const std::string normal = normalHeading(heading);
  for (std::size_t c = 0; c < table.width(); ++c) {
    if (!normal.empty() && normalHeading(table.column(c).name()) == normal) return c;
  }
  return std::nullopt;
}

std::vector<std::string> fieldNames(Kind kind) {
  std::vector<std::string> names;
  for (const Field& field : fields(kind)) names.emplace_back(field.name);
  return names;
}

void dropPicks(ColumnMap& map, const std::string& field, std::optional<std::size_t> column) {
  std::erase_if(map.picks, [&](const Pick& pick) { return pick.field == field || (column && pick.column == *column); });
}

Problem missing(const ColumnMap& map, const Table& table, std::string_view sought, std::string_view field, std::string_view example) {
  const Field* known = findField(map.kind, field);
  std::vector<std::string> also;
  if (known != nullptr && !known->synonyms.empty()) {
    for (const std::string_view synonym : split(known->synonyms, '|')) {
      if (also.size() < 8) also.emplace_back(synonym);
    }
  }
  return {ProblemCode::BadData,
          fmt::format("No column was found for {} (looked for headings such as {}{}{}); the headings are: {}", sought, field,
                      also.empty() ? "" : ", ", join(also, ", "), list(table.names())),
          "", fmt::format("Say which column it is: --map {}={}", field, example)};
}

}  // namespace

std::vector<std::string> nearestNames(std::string_view name, const std::vector<std::string>& names) {
  const std::string lower = lowerAscii(name);
  std::vector<std::pair<std::size_t, std::string>> ranked;
  for (const std::string& candidate : names) ranked.emplace_back(editDistance(lower, lowerAscii(candidate)), candidate);
  std::ranges::stable_sort(ranked, {}, &std::pair<std::size_t, std::string>::first);
  std::vector<std::string> nearest;
  for (std::size_t i = 0; i < ranked.size() && i < 3; ++i) nearest.push_back(ranked[i].second);
  return nearest;
}

Result<Overrides> parseOverrides(std::string_view pairs) {
  Overrides overrides;
  while (!trim(pairs).empty()) {
    std::string pair;
    bool quoted = false;
    std::size_t at = 0;
    for (; at < pairs.size() && (quoted || pairs[at] != ','); ++at) {
      if (pairs[at] == '"') quoted = !quoted;
      else pair += pairs[at];
    }
    pairs = at < pairs.size() ? pairs.substr(at + 1) : std::string_view{};
    const std::size_t equals = pair.find('=');
    const std::string field(trim(std::string_view(pair).substr(0, equals)));
    if (equals == std::string::npos || field.empty()) {
      return Problem{ProblemCode::InvalidArgument, fmt::format("'{}' is no pair of field and column", pair), "--map",
                     "Write field=Column, for instance address=\"Street address\""};
    }
    overrides[field] = trim(std::string_view(pair).substr(equals + 1));
  }
  return overrides;
}

const Pick* ColumnMap::find(std::string_view field) const {
  const auto pick = std::ranges::find(picks, field, &Pick::field);
  return pick == picks.end() ? nullptr : &*pick;
}

std::optional<std::size_t> ColumnMap::column(std::string_view field) const {
  const Pick* pick = find(field);
  return pick == nullptr ? std::nullopt : std::optional(pick->column);
}

std::string ColumnMap::setting(const std::string& name) const {
  const auto found = settings.find(name);
  return found == settings.end() ? "" : found->second;
}

std::string ColumnMap::describe() const {
  std::string text;
  for (const Pick& pick : picks) {
    text += fmt::format("{} <- {} ({:.2f}): {}\n", pick.field, pick.heading, pick.confidence, join(pick.samples, " | "));
  }
  for (const auto& [name, value] : settings) text += fmt::format("{} = {}\n", name, value);
  if (!unused.empty()) text += "not used: " + list(unused) + "\n";
  return text;
}

std::string ColumnMap::pairs() const {
  std::string text;
  for (const Pick& pick : picks) text += pick.field + "=" + pick.heading + "\n";
  for (const auto& [name, value] : settings) text += name + "=" + value + "\n";
  return text;
}

std::string normalHeading(std::string_view heading, std::string* unit) {
  static constexpr std::array<std::string_view, 9> kTrailing = {"c", "f", "degc", "degf", "celsius", "fahrenheit", "mm", "percent", "pct"};
  std::string found;
  std::string bare(trim(heading));
  if (bare.starts_with("\xEF\xBB\xBF")) bare.erase(0, 3);
  const std::size_t open = bare.find_first_of("([");
  const std::size_t close = bare.find_first_of(")]", open);
  if (open != std::string::npos && open > 0 && close != std::string::npos) {
    found = plainUnit(bare.substr(open + 1, close - open - 1));
    bare.erase(open, close - open + 1);
  }
  std::string normal = words(bare);
  const std::size_t last = normal.rfind(' ');
  if (last != std::string::npos && found.empty()) {
    const std::string_view tail = std::string_view(normal).substr(last + 1);
    const bool rain = normal.starts_with("pr") || normal.starts_with("rain");
    if (std::ranges::find(kTrailing, tail) != kTrailing.end() || (rain && (tail == "in" || tail == "inches" || tail == "cm"))) {
      found = plainUnit(tail);
      normal.resize(last);
    }
  }
  if (unit != nullptr) *unit = found;
  return normal;
}

Result<ColumnMap> withOverrides(ColumnMap map, const Overrides& overrides, const Table& table) {
  std::map<std::size_t, std::string> taken;
  for (const auto& [name, heading] : overrides) {
    const Field* field = findField(map.kind, name);
    if (field == nullptr) return noSuch(fmt::format("field for {} named", kindName(map.kind)), name, fieldNames(map.kind));
    if (field->type == FieldType::Setting) {
      map.settings[name] = heading;
      continue;
    }
    if (heading.empty()) {
      dropPicks(map, name, std::nullopt);
      continue;
    }
    const auto column = columnNamed(table, heading);
    if (!column) return noSuch("column", heading, table.names());
    if (const auto [at, fresh] = taken.emplace(*column, name); !fresh) {
      return Problem{ProblemCode::InvalidArgument, fmt::format("Column '{}' is given to both {} and {}", heading, at->second, name), "",
                     "Each column serves one field"};
    }
    dropPicks(map, name, column);
    Pick pick{name, *column, table.column(*column).name(), {}, 1.0, samplesOf(table.column(*column))};
    normalHeading(pick.heading, &pick.unit);
    map.picks.push_back(std::move(pick));
  }
  const auto order = fieldNames(map.kind);
  std::ranges::stable_sort(map.picks, {}, [&](const Pick& pick) { return std::ranges::find(order, pick.field) - order.begin(); });
  map.unused.clear();
  for (std::size_t c = 0; c < table.width(); ++c) {
    const bool used = std::ranges::any_of(map.picks, [&](const Pick& pick) { return pick.column == c; });
    if (!used) map.unused.push_back(table.column(c).name());
  }
  return map;
}

Result<void> checkRequired(const ColumnMap& map, const Table& table) {
  for (const Field& field : fields(map.kind)) {
    if (field.required && map.find(field.name) == nullptr) {
      return missing(map, table, fmt::format("'{}' ({})", field.name, field.meaning), field.name, "Column");
    }
  }
  const auto has = [&](std::string_view field) { return map.find(field) != nullptr; };
  const bool address = has("address") || (has("number") && has("street"));
  switch (map.kind) {
    case Kind::Visits:
    case Kind::Sightings:
      if (!address && !(has("lon") && has("lat"))) {
        return missing(map, table, "the place: neither an address nor longitude and latitude", "address", "Column");
      }
      break;
    case Kind::Premises:
      if (!address) return missing(map, table, "the address: neither number and street nor a full address", "address", "Column");
      break;
    case Kind::Blocks:
      if (!has("id")) return missing(map, table, "the block's id", "id", "Column");
      break;
    default: break;
  }
  return {};
}

Result<ColumnMap> mapColumns(Kind kind, const Table& table, const Overrides& overrides) {
  LEEWARD_ASSIGN(map, withOverrides(guessColumns(kind, table), overrides, table));
  LEEWARD_TRY(checkRequired(map, table));
  return map;
}

}  // namespace leeward::importers
