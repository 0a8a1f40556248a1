// Census tables: codes, estimates and their margins of error, special values.
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <unordered_map>

#include "importers/oddities.h"
#include "importers/public_parts.h"
#include "importers/values.h"
#include "shared/base/text.h"

namespace leeward::importers {
namespace {

struct Special {
  std::string_view text;
  std::string_view meaning;
};
/// Annotation values of ACS tables, as the Census Bureau's notes on estimate and annotation values list them (from memory).
constexpr auto kSpecial = std::to_array<Special>({
    {"-666666666", "no estimate: too few sample cases"},
    {"-999999999", "no estimate: too few cases to show it"},
    {"-888888888", "not applicable or not available"},
    {"-222222222", "no margin: too few sample cases"},
    {"-333333333", "no margin: the median lies in an open-ended interval"},
    {"-555555555", "no margin: the estimate is controlled"},
    {"-", "no estimate: too few sample cases"},
    {"N", "too few cases to show it"},
    {"(X)", "not applicable or not available"},
    {"*", "no margin"},
    {"**", "no margin: too few sample cases"},
    {"***", "no margin: the median lies in an open-ended interval"},
    {"*****", "no margin: the estimate is controlled"},
    {"null", "blank"},
    {"NA", "blank"},
    {"N/A", "blank"},
});
constexpr std::string_view kOpenEnded = "the median lies in an open-ended interval";


/// "250,000+", "2,500-".
bool isOpenEnded(std::string_view text) {
  if (text.size() < 2 || (text.back() != '+' && text.back() != '-') || !isDigit(text.front())) return false;
  return !readNumber(text.substr(0, text.size() - 1)).bad();
}

/// What a heading is about, without the mark of estimate or margin: pairs have the same stem.
struct Stem {
  std::string text;
  bool margin = false;
};

/// "B19013_001E" and "B19013_001M", "DP03_0001PE" ...: a letter behind three or more digits.
std::optional<Stem> codedStem(std::string_view heading) {
  if (heading.size() < 5) return std::nullopt;
  const char last = heading.back();
  if (last != 'E' && last != 'M') return std::nullopt;
  std::string_view body = heading.substr(0, heading.size() - 1);
  std::string_view digits = body.ends_with('P') ? body.substr(0, body.size() - 1) : body;
  if (digits.size() < 4 || digits.find('_') == std::string_view::npos) return std::nullopt;
  for (const char c : digits.substr(digits.size() - 3)) {
    if (!isDigit(c)) return std::nullopt;
  }
  return Stem{std::string(body), last == 'M'};
}

Stem stemOf(std::string_view heading) {
  if (auto coded = codedStem(heading)) return *std::move(coded);
  std::string text = normalHeading(heading);
  Stem stem;
  const auto cut = [&](std::string_view word) {
    const std::string spaced = " " + text + " ";
    const std::size_t at = spaced.find(" " + std::string(word) + " ");
    if (at == std::string::npos) return false;
    text = std::string(trim(spaced.substr(0, at) + " " + spaced.substr(at + word.size() + 2)));
    return true;
  };
  for (const std::string_view word : {"margin of error", "moe", "margin"}) stem.margin = cut(word) || stem.margin;
  if (!stem.margin && text.size() > 3 && text.ends_with("moe")) stem.margin = true, text.resize(text.size() - 3);
  for (const std::string_view word : {"estimate", "est"}) cut(word);
  stem.text = text;
  return stem;
}

/// Annotation columns of the Bureau's interface ("B19013_001EA") and codes of places are no figures.
bool isNoFigure(std::string_view heading) {
  if (heading.size() > 5 && (heading.ends_with("EA") || heading.ends_with("MA")) && codedStem(heading.substr(0, heading.size() - 1))) return true;
  static constexpr auto kCodes = std::to_array<std::string_view>({"state", "county", "tract", "block group", "blockgroup", "statefp", "countyfp", "tractce",
                                                                  "blkgrpce", "fid", "objectid", "year", "place", "geo id", "geoid"});
  const std::string normal = normalHeading(heading);
  return std::ranges::find(kCodes, normal) != kCodes.end();
}

struct Figures {
  std::vector<double> values;                          ///< nan = missing
  std::map<std::string_view, std::size_t> special;     ///< by meaning
  std::size_t numbers = 0, blanks = 0, texts = 0;
  std::vector<std::size_t> bad_rows;
};

Figures figuresOf(const Rows& rows, Rows::Slot slot) {
  Figures figures;
  figures.values.assign(rows.size(), std::nan(""));
  for (std::size_t row = 0; row < rows.size(); ++row) {
    const std::string_view text = rows.at(slot, row);
    if (text.empty()) {
      ++figures.blanks;
    } else if (const auto meaning = specialValue(text)) {
      ++figures.special[*meaning];
    } else if (const auto number = readNumber(text.starts_with("±") ? text.substr(2) : text); !number.bad()) {
      figures.values[row] = *number.value;
      ++figures.numbers;
    } else {
      ++figures.texts;
      figures.bad_rows.push_back(row);
    }
  }
  return figures;
}

struct FigureColumn {
  std::string name;  ///< heading as in the file
  Rows::Slot slot;
  Stem stem;
  Figures figures;
};

std::vector<FigureColumn> figureColumns(const PublicParts& parts) {
  std::vector<FigureColumn> columns;
  const Table& table = parts.source.layer.table;
  for (std::size_t c = 0; c < table.width(); ++c) {
    const bool taken = std::ranges::any_of(parts.map.picks, [&](const Pick& pick) { return pick.column == c; });
    if (taken || isNoFigure(table.column(c).name())) continue;
    const Rows::Slot slot{static_cast<int>(c)};
    Figures figures = figuresOf(parts.rows, slot);
    std::size_t special = 0;
    for (const auto& [meaning, count] : figures.special) special += count;
    const std::size_t weight = codedStem(table.column(c).name()) ? 1 : 4;  // a coded heading speaks for figures by itself
    const bool mostly_numbers = figures.numbers + special > weight * figures.texts && figures.numbers > 0;
    if (mostly_numbers) columns.push_back({table.column(c).name(), slot, stemOf(table.column(c).name()), std::move(figures)});
  }
  return columns;
}

void remarkFigures(PublicParts& parts, const FigureColumn& column, const std::string& name) {
  for (const auto& [meaning, count] : column.figures.special) {
    parts.remark(fmt::format("{}: {} {} missing ({})", name, count, count == 1 ? "value is" : "values are", meaning));
  }
  if (column.stem.margin) return;
  for (const OddConstant& odd : oddConstants(column.figures.values)) {
    parts.remark(fmt::format("{}: {} stands {} times while nearly all other values lie between {} and {}; is it a missing value?", name,
                             formatNumber(odd.value), odd.count, formatNumber(odd.low), formatNumber(odd.high)));
  }
}

/// Refuses the second row of an id.
void refuseRepeats(PublicParts& parts, const std::vector<std::string>& ids) {
  std::unordered_map<std::string, std::size_t> first;
  for (std::size_t row = 0; row < ids.size(); ++row) {
    if (parts.refused[row]) continue;
    const auto [at, fresh] = first.emplace(ids[row], row);
    if (!fresh) parts.refuse(row, parts.rows.slot("id"), fmt::format("the id {} stands in line {} already", ids[row], parts.rows.line(at->second)));
  }
}

/// Estimates in the order of the file, each with its margin beside it.
void addFigures(PublicParts& parts, std::vector<FigureColumn>& columns, Table& table) {
  const auto add = [&](const FigureColumn& column, const std::string& name) {
    Column out(name, Column::Kind::Real);
    for (std::size_t row = 0; row < parts.rows.size(); ++row) {
      if (!parts.refused[row]) out.addReal(column.figures.values[row]);
    }
    remarkFigures(parts, column, name);
    table.add(std::move(out));
  };
  std::vector<bool> written(columns.size(), false);
  for (std::size_t i = 0; i < columns.size(); ++i) {
    if (columns[i].stem.margin) continue;
    add(columns[i], columns[i].name);
    for (std::size_t j = 0; j < columns.size(); ++j) {
      if (written[j] || !columns[j].stem.margin || columns[j].stem.text != columns[i].stem.text) continue;
      add(columns[j], columns[i].name + "_moe");
      written[j] = true;
      break;
    }
  }
  for (std::size_t j = 0; j < columns.size(); ++j) {
    if (columns[j].stem.margin && !written[j]) parts.remark(fmt::format("Column '{}' looks like a margin of error, but no estimate goes with it; left out", columns[j].name));
  }
}

/// ACS tables as downloaded carry a second heading row: ids like "Geography", labels in all columns.
void refuseLabels(PublicParts& parts, Rows::Slot id, std::vector<FigureColumn>& columns) {
  if (parts.rows.size() == 0 || parts.refused[0]) return;
  const std::string_view text = parts.rows.at(id, 0);
  const bool no_digits = text.find_first_of("0123456789") == std::string_view::npos;
  const bool all_text = !columns.empty() && std::ranges::all_of(columns, [](const FigureColumn& column) {
    return !column.figures.bad_rows.empty() && column.figures.bad_rows.front() == 0;
  });
  if (!no_digits || !all_text) return;
  parts.refused[0] = true;
  parts.remark("The row below the headings holds labels and was left out");
}

}  // namespace

std::optional<std::string_view> specialValue(std::string_view text) {
  text = trim(text);
  if (text.ends_with(".0")) text.remove_suffix(2);
  for (const Special& special : kSpecial) {
    if (text == special.text) return special.meaning;
  }
  if (isOpenEnded(text)) return kOpenEnded;
  return std::nullopt;
}

Result<Layer> tidyCensus(PublicParts& parts, Progress& progress) {
  const Rows::Slot id = parts.rows.slot("id");
  std::vector<FigureColumn> columns = figureColumns(parts);
  LEEWARD_TRY(progress.checkStop());
  if (columns.empty()) {
    return Problem{ProblemCode::BadData, "No column of the census table holds figures", parts.report.file, "Check that it is the right table"};
  }
  refuseLabels(parts, id, columns);
  const auto ids = idsOf(parts, id);
  for (const FigureColumn& column : columns) {
    for (const std::size_t row : column.figures.bad_rows) {
      if (!parts.refused[row]) parts.refuse(row, column.slot, "this is no number and no special value of the census");
    }
  }
  refuseRepeats(parts, ids);
  Layer layer;
  Column id_column("id", Column::Kind::Text);
  for (std::size_t row = 0; row < ids.size(); ++row) {
    if (!parts.refused[row]) id_column.addText(ids[row]);
  }
  layer.table.add(std::move(id_column));
  if (parts.rows.slot("name")) layer.table.add(textColumn(parts, "name", parts.rows.slot("name")));
  addFigures(parts, columns, layer.table);
  const Geometries& shapes = parts.geometry();
  if (!shapes.empty()) {
    Geometries areas;
    for (std::size_t row = 0; row < ids.size(); ++row) {
      if (!parts.refused[row]) areas.addCopy(shapes, row);
    }
    layer.crs = parts.source.layer.crs;
    layer.geometry = repairedAreas(parts, areas);
  }
  return layer;
}

}  // namespace leeward::importers
