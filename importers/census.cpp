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
/// What stands in place of a figure: the Census Bureau's "Notes on ACS Estimate and Annotation Values" (numbers and signs, as quoted in the
/// README of uva-bi-sdad/sdc.broadband.acs; the signs also on census.gov, ACS data notes). -1 and "." are of the summary file.
constexpr std::string_view kOpenEnded = "the median lies in an open-ended interval";
constexpr std::string_view kControlled = "the estimate is controlled, so its margin counts as zero";
constexpr auto kSpecial = std::to_array<Special>({
    {"-666666666", "no estimate: too few sample cases"},
    {"-999999999", "too few cases to show it"},
    {"-888888888", "not applicable or not available"},
    {"-222222222", "no margin: too few sample cases"},
    {"-333333333", kOpenEnded},
    {"-555555555", kControlled},
    {"-", "no estimate: too few sample cases"},
    {".", "no estimate: too few sample cases"},
    {"N", "too few cases to show it"},
    {"(X)", "not applicable or not available"},
    {"*", "no margin"},
    {"**", "no margin: too few sample cases"},
    {"***", kOpenEnded},
    {"*****", kControlled},
    {"null", "blank"},
    {"NA", "blank"},
    {"N/A", "blank"},
});

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
  return std::ranges::find(kCodes, normal) != kCodes.end() || normal.starts_with("geo id") || normal.starts_with("geoid") || normal.starts_with("intptl");
}

struct Figures {
  std::vector<double> values;                          ///< nan = missing
  std::map<std::string_view, std::size_t> special;     ///< by meaning
  std::size_t numbers = 0, blanks = 0, texts = 0;
  std::vector<std::size_t> bad_rows;
  std::vector<std::size_t> open_rows;                  ///< beyond the last or first class of a distribution
};

/// The row of labels below the headings, if there is one: it is no figure.
using LabelRow = std::optional<std::size_t>;

Figures figuresOf(const Rows& rows, Rows::Slot slot, LabelRow labels) {
  Figures figures;
  figures.values.assign(rows.size(), std::nan(""));
  for (std::size_t row = 0; row < rows.size(); ++row) {
    const std::string_view text = rows.at(slot, row);
    if (row == labels) continue;
    if (text.empty()) {
      ++figures.blanks;
    } else if (const auto meaning = specialValue(text)) {
      ++figures.special[*meaning];
      if (*meaning == kOpenEnded) figures.open_rows.push_back(row);
      if (*meaning == kControlled) figures.values[row] = 0;
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
  std::string name;   ///< heading as in the file
  std::string label;  ///< what the row of labels says of it, "" without one
  Rows::Slot slot;
  Stem stem;
  Figures figures;
};

bool isTaken(const PublicParts& parts, std::size_t column) {
  return std::ranges::any_of(parts.map.picks, [&](const Pick& pick) { return pick.column == column; });
}

/// Tables as downloaded carry two rows of headings, codes and labels: the lower one has an id without digits ("Geography", "Id") and no
/// figure where a heading speaks of one.
LabelRow labelRow(const PublicParts& parts, Rows::Slot id) {
  if (parts.rows.size() < 2 || parts.refused[0] || parts.rows.at(id, 0).find_first_of("0123456789") != std::string_view::npos) return std::nullopt;
  const Table& table = parts.source.layer.table;
  std::size_t labels = 0;
  for (std::size_t c = 0; c < table.width(); ++c) {
    if (isTaken(parts, c) || isNoFigure(table.column(c).name())) continue;
    const std::string_view text = parts.rows.at({static_cast<int>(c)}, 0);
    if (!readNumber(text).bad() && !text.empty()) return std::nullopt;
    labels += text.empty() || specialValue(text) ? 0 : 1;
  }
  return labels > 0 ? LabelRow(0) : std::nullopt;
}

std::vector<FigureColumn> figureColumns(const PublicParts& parts, LabelRow labels) {
  std::vector<FigureColumn> columns;
  const Table& table = parts.source.layer.table;
  for (std::size_t c = 0; c < table.width(); ++c) {
    const std::string& name = table.column(c).name();
    if (isTaken(parts, c) || isNoFigure(name)) continue;
    const Rows::Slot slot{static_cast<int>(c)};
    Figures figures = figuresOf(parts.rows, slot, labels);
    std::size_t special = 0;
    for (const auto& [meaning, count] : figures.special) special += count;
    const std::size_t weight = codedStem(name) ? 1 : 4;  // a coded heading speaks for figures by itself
    if (figures.numbers + special <= weight * figures.texts || figures.numbers == 0) continue;
    const std::string label(labels ? parts.rows.at(slot, *labels) : std::string_view{});
    Stem stem = codedStem(name) || label.empty() ? stemOf(name) : stemOf(label);
    columns.push_back({name, label, slot, std::move(stem), std::move(figures)});
  }
  return columns;
}

/// An estimate beyond the last class of its distribution is a limit, not a value, even where only its margin says so. Negative
/// margins (-1 in the summary file) stand for none.
void settlePair(Figures& estimate, Figures& margin) {
  for (const std::size_t row : margin.open_rows) {
    if (std::isnan(estimate.values[row])) continue;
    estimate.values[row] = std::nan("");
    ++estimate.special[kOpenEnded];
  }
  for (double& value : margin.values) {
    if (!(value < 0)) continue;
    value = std::nan("");
    ++margin.special["no margin"];
  }
}

/// How many estimates say little: coefficients of variation over 40 % (margin / 1.645 / estimate, margins being of 90 %: ACS General
/// Handbook 2020, chapter 7; the limit is common practice, no published source).
void remarkUncertain(PublicParts& parts, const FigureColumn& estimate, const FigureColumn& margin) {
  std::size_t known = 0, uncertain = 0;
  for (std::size_t row = 0; row < parts.rows.size(); ++row) {
    const double value = estimate.figures.values[row], moe = margin.figures.values[row];
    if (parts.refused[row] || !(value > 0) || std::isnan(moe)) continue;
    ++known;
    uncertain += moe / 1.645 / value > 0.4 ? 1 : 0;
  }
  if (uncertain > 0) parts.remark(fmt::format("{}: {} of {} estimates are very uncertain (coefficient of variation over 40 %)", estimate.name, uncertain, known));
}

void remarkFigures(PublicParts& parts, const FigureColumn& column, const std::string& name) {
  for (const auto& [meaning, count] : column.figures.special) {
    const std::string_view taken = meaning == kControlled ? "zero" : "missing";
    parts.remark(fmt::format("{}: {} {} {} ({})", name, count, count == 1 ? "value is" : "values are", taken, meaning));
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
    const auto pair = std::ranges::find_if(columns, [&](const FigureColumn& other) { return other.stem.margin && other.stem.text == columns[i].stem.text; });
    const auto j = static_cast<std::size_t>(pair - columns.begin());
    const bool has_margin = j < columns.size() && !written[j];
    if (has_margin) settlePair(columns[i].figures, columns[j].figures);
    add(columns[i], columns[i].name);
    if (!columns[i].label.empty()) parts.meanings[columns[i].name] = columns[i].label;
    if (!has_margin) continue;
    add(columns[j], columns[i].name + "_moe");
    remarkUncertain(parts, columns[i], columns[j]);
    written[j] = true;
  }
  for (std::size_t j = 0; j < columns.size(); ++j) {
    if (columns[j].stem.margin && !written[j]) parts.remark(fmt::format("Column '{}' looks like a margin of error, but no estimate goes with it; left out", columns[j].name));
  }
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
  const LabelRow labels = labelRow(parts, id);
  std::vector<FigureColumn> columns = figureColumns(parts, labels);
  LEEWARD_TRY(progress.checkStop());
  if (columns.empty()) {
    return Problem{ProblemCode::BadData, "No column of the census table holds figures", parts.report.file, "Check that it is the right table"};
  }
  if (labels) {
    parts.refused[*labels] = true;  // no row of figures, and nothing wrong with it: neither counted nor reported
    --parts.report.read;
    parts.remark("The row below the headings holds labels; they are kept as the columns' meaning");
  }
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
    std::vector<std::size_t> row_of;
    for (std::size_t row = 0; row < ids.size(); ++row) {
      if (parts.refused[row]) continue;
      areas.addCopy(shapes, row);
      row_of.push_back(row);
    }
    layer.crs = parts.source.layer.crs;
    LEEWARD_ASSIGN(repaired, repairedAreas(parts, areas, row_of, progress));
    layer.geometry = std::move(repaired);
  }
  return layer;
}

}  // namespace leeward::importers
