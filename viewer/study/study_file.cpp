#include "viewer/study/study_file.h"

#include <algorithm>
#include <cstdint>
#include <limits>
#include <set>
#include <string_view>
#include <utility>

#include <fmt/format.h>
#include <toml++/toml.h>

#include "shared/base/files.h"
#include "shared/base/text.h"

namespace leeward::study {
namespace fs = std::filesystem;
namespace {

/// Reads keys of one table, remembering the first thing that is wrong and which keys were asked for.
class TableReader {
 public:
  TableReader(const toml::table* table, std::string name) : table_(table), name_(std::move(name)) {}

  void text(const char* key, std::string& out) {
    if (const auto* node = get(key)) {
      if (const auto value = node->value<std::string>()) out = *value;
      else wrong(*node, key, "a text in quotes");
    }
  }
  void number(const char* key, double& out, double least, double most) {
    if (const auto* node = get(key)) {
      const auto value = node->value<double>();
      if (value && *value >= least && *value <= most) out = *value;
      else wrong(*node, key, fmt::format("a number from {} to {}", formatNumber(least), formatNumber(most)));
    }
  }
  template <class Whole>
  void whole(const char* key, Whole& out, std::int64_t least, std::int64_t most) {
    if (const auto* node = get(key)) {
      const auto value = node->value<std::int64_t>();
      if (value && node->is_integer() && *value >= least && *value <= most) out = static_cast<Whole>(*value);
      else wrong(*node, key, fmt::format("a whole number from {} to {}", least, most));
    }
  }
  void date(const char* key, std::optional<Date>& out) {
    const auto* node = get(key);
    if (node == nullptr) return;
    if (const auto value = node->value<toml::date>()) out = makeDate(value->year, value->month, value->day);
    else if (const auto written = node->value<std::string>(); written && written->empty()) return;
    else if (written) out = parseIsoDate(*written);
    if (!out) wrong(*node, key, "a day, like 2025-09-30");
  }
  void texts(const char* key, std::vector<std::string>& out) {
    const auto* node = get(key);
    if (node == nullptr) return;
    const auto* list = node->as_array();
    if (list == nullptr) return wrong(*node, key, "a list of texts");
    out.clear();
    for (const auto& item : *list) {
      if (const auto value = item.value<std::string>()) out.push_back(*value);
      else wrong(item, key, "a list of texts");
    }
  }
  void numbers(const char* key, std::vector<double>& out, std::size_t count) {
    const auto* node = get(key);
    if (node == nullptr) return;
    std::vector<double> values;
    if (const auto* list = node->as_array()) {
      for (const auto& item : *list) {
        if (const auto value = item.value<double>()) values.push_back(*value);
      }
    }
    if (values.size() != count) return wrong(*node, key, fmt::format("a list of {} numbers", count));
    out = std::move(values);
  }
  const toml::node* get(const char* key) {
    asked_.insert(key);
    return table_ == nullptr ? nullptr : table_->get(key);
  }
  void wrong(const toml::node& node, const char* key, const std::string& wanted) {
    if (problem_) return;
    problem_ = Problem{ProblemCode::BadData, fmt::format("[{}] {} should be {}", name_, key, wanted),
                       fmt::format("study.toml, line {}", node.source().begin.line), "Correct the value or remove the line"};
  }
  /// The first problem, else a key that nobody asked for.
  std::optional<Problem> problem() const {
    if (problem_ || table_ == nullptr) return problem_;
    for (const auto& [key, node] : *table_) {
      if (asked_.contains(std::string(key.str()))) continue;
      return Problem{ProblemCode::BadData, fmt::format("[{}] has no key \"{}\"", name_, key.str()),
                     fmt::format("study.toml, line {}", node.source().begin.line),
                     fmt::format("Keys are: {}", join({asked_.begin(), asked_.end()}, ", "))};
    }
    return std::nullopt;
  }

 private:
  const toml::table* table_;
  std::string name_;
  std::set<std::string> asked_;
  std::optional<Problem> problem_;
};

/// What a heat layer may say that it measures.
constexpr std::array<std::string_view, 4> kHeatKinds = {"land surface", "air", "index", "proxy"};

/// { field = "Column" }
std::map<std::string, std::string> readColumns(TableReader& reader, const toml::node& node) {
  std::map<std::string, std::string> columns;
  if (!node.is_table()) return reader.wrong(node, "columns", "a table like { number = \"House_No\" }"), columns;
  for (const auto& [field, column] : *node.as_table()) {
    if (const auto name = column.value<std::string>()) columns[std::string(field.str())] = *name;
    else reader.wrong(column, "columns", "column names in quotes");
  }
  return columns;
}

SourceTable readSource(TableReader& reader) {
  SourceTable source;
  reader.text("file", source.file);
  reader.text("layer", source.layer);
  reader.text("crs", source.crs);
  reader.text("kind", source.kind);
  reader.text("unit", source.unit);
  reader.text("year", source.year);
  reader.text("source", source.source);
  reader.text("licence", source.licence);
  reader.text("label", source.label);
  if (const auto* node = reader.get("columns")) source.columns = readColumns(reader, *node);
  return source;
}

void readLooks(TableReader& reader, StudyFile& study) {
  reader.number("half_life_days", study.half_life_days, 1, 1e6);
  for (auto& [look, chances] : study.chance_of_seeing) {
    const auto* node = reader.get(look.c_str());
    if (node == nullptr) continue;
    if (const auto one = node->value<double>()) {
      chances.fill(*one);
    } else {
      std::vector<double> by_season;
      reader.numbers(look.c_str(), by_season, 4);
      if (by_season.size() == 4) std::ranges::copy(by_season, chances.begin());
    }
    if (std::ranges::any_of(chances, [](double c) { return !(c >= 0 && c <= 1); })) {
      reader.wrong(*node, look.c_str(), "one chance from 0 to 1, or four (winter, spring, summer, autumn)");
    }
  }
}

void readIndicators(TableReader& reader, StudyFile& study, std::optional<Problem>& problem) {
  const auto* node = reader.get("indicators");
  if (node == nullptr) return;
  const auto* list = node->as_array();
  if (list == nullptr) return reader.wrong(*node, "indicators", "a list of tables");
  for (const auto& item : *list) {
    TableReader one(item.as_table(), "need.indicators");
    Indicator indicator;
    one.text("column", indicator.column);
    one.text("per", indicator.per);
    one.text("direction", indicator.direction);
    one.number("weight", indicator.weight, 0, 1e6);
    one.text("label", indicator.label);
    one.text("unit", indicator.unit);
    one.text("margin", indicator.margin);
    if (indicator.column.empty()) one.wrong(item, "column", "named: a census column, or \"heat\"");
    if (indicator.direction != "more" && indicator.direction != "less") one.wrong(item, "direction", "\"more\" or \"less\"");
    if (!problem) problem = one.problem();
    study.indicators.push_back(std::move(indicator));
  }
}

void readOutings(TableReader& reader, StudyFile::Outings& outings) {
  std::vector<double> start;
  reader.numbers("start", start, 2);
  if (start.size() == 2) outings.start_lon_lat = Point{start[0], start[1]};
  reader.whole("crews", outings.crews, 1, 100);
  reader.number("hours", outings.hours, 0, 24);
  reader.number("minutes_per_door", outings.minutes_per_door, 0.1, 600);
  reader.number("minutes_per_visit", outings.minutes_per_visit, 0.1, 600);
  reader.number("walking_kmh", outings.walking_kmh, 0.5, 20);
  reader.number("driving_kmh", outings.driving_kmh, 1, 150);
}

Result<StudyFile> read(const toml::table& root, StudyFile study) {
  std::optional<Problem> problem;
  std::set<std::string> known;
  const auto section = [&](const std::string& name, auto&& fill) {
    known.insert(name);
    const auto* node = root.get(name);
    if (node != nullptr && node->as_table() == nullptr && !problem) {
      problem = Problem{ProblemCode::BadData, fmt::format("\"{}\" should be a table, written [{}]", name, name),
                        fmt::format("study.toml, line {}", node->source().begin.line), ""};
    }
    TableReader reader(node == nullptr ? nullptr : node->as_table(), name);
    fill(reader);
    if (!problem) problem = reader.problem();
  };
  section("study", [&](TableReader& r) {
    r.text("name", study.name);
    r.text("crs", study.crs);
    r.whole("seed", study.seed, 0, std::numeric_limits<std::int64_t>::max());
    r.number("level", study.level, 0.5, 0.999);
    r.date("as_of", study.as_of);
    r.whole("service_interval_days", study.service_interval_days, 1, 10000);
    r.whole("top", study.top_k, 1, 1000000);
  });
  for (const auto& kind : layerKinds()) {
    section(kind, [&](TableReader& r) {
      SourceTable source = readSource(r);
      if (kind == "heat" && !source.kind.empty() && std::ranges::find(kHeatKinds, source.kind) == kHeatKinds.end()) {
        r.wrong(*r.get("kind"), "kind", "land surface, air, index or proxy");
      }
      if (root.get(kind) != nullptr && !source.file.empty()) study.sources[kind] = std::move(source);
    });
  }
  for (const char* kind : {"visits", "sightings"}) {
    section(kind, [&](TableReader& r) { if (const auto* node = r.get("columns")) study.crew_columns[kind] = readColumns(r, *node); });
  }
  section("looks", [&](TableReader& r) { readLooks(r, study); });
  section("need", [&](TableReader& r) { readIndicators(r, study, problem); });
  section("outings", [&](TableReader& r) { readOutings(r, study.outings); });
  section("improved", [&](TableReader& r) { r.whole("days_apart", study.improved.days_apart, 1, 3650); });
  section("clusters", [&](TableReader& r) {
    r.number("within_m", study.clusters.within_m, 1, 1e6);
    r.whole("at_least", study.clusters.at_least, 1, 1000000);
  });
  section("audiences", [](TableReader& r) {
    for (const char* key : {"public", "partner", "authority", "crew"}) r.get(key);
  });
  section("outputs", [&](TableReader& r) {
    r.texts("sheets", study.outputs.sheets);
    r.text("format", study.outputs.format);
    if (study.outputs.format != "pdf" && study.outputs.format != "svg" && study.outputs.format != "png") {
      if (const auto* node = r.get("format")) r.wrong(*node, "format", "\"pdf\", \"svg\" or \"png\"");
    }
    r.texts("briefs", study.outputs.briefs);
    r.texts("tables", study.outputs.tables);
    r.text("changed_by", study.outputs.changed_by);
    r.text("every", study.outputs.every);
    if (!parseEvery(study.outputs.every)) {
      if (const auto* node = r.get("every")) r.wrong(*node, "every", "\"month\", \"quarter\" or \"year\"");
    }
  });
  if (problem) return *std::move(problem);
  for (const auto& [key, node] : root) {
    if (known.contains(std::string(key.str()))) continue;
    return Problem{ProblemCode::BadData, fmt::format("there is no table [{}]", key.str()),
                   fmt::format("study.toml, line {}", node.source().begin.line),
                   fmt::format("Tables are: {}", join({known.begin(), known.end()}, ", "))};
  }
  return study;
}

}  // namespace

const std::vector<std::string>& layerKinds() {
  static const std::vector<std::string> kKinds = {"premises", "streets", "blocks",   "areas", "census", "heat",
                                                  "weather",  "jurisdictions", "boundary", "water", "parks"};
  return kKinds;
}

std::string layerLabel(const std::string& kind) {
  static const std::map<std::string, std::string> kLabels = {
      {"premises", "Address points"}, {"streets", "Streets"},   {"blocks", "Blocks"},
      {"areas", "Census areas"},      {"census", "Census table"}, {"heat", "Heat layer"},
      {"weather", "Weather days"},    {"jurisdictions", "Jurisdictions"}, {"boundary", "Boundary"},
      {"water", "Water"},             {"parks", "Parks"}};
  const auto found = kLabels.find(kind);
  return found == kLabels.end() ? kind : found->second;
}

fs::path StudyFile::pathOf(const SourceTable& source) const {
  const fs::path path(source.file);
  return path.is_absolute() ? path : folder / path;
}

Result<StudyFile> readStudyFile(const fs::path& folder) {
  StudyFile study;
  study.folder = folder;
  // Starting values, common practice without published source: a knock sees most dogs that are outdoors, a passing view some.
  study.chance_of_seeing = {{"knock", {0.75, 0.8, 0.8, 0.8}}, {"street", {0.4, 0.5, 0.5, 0.5}}, {"call", {0.3, 0.3, 0.3, 0.3}}, {"track", {0.2, 0.25, 0.25, 0.25}}};
  auto content = readFile(study.file(), 16U << 20U);
  if (!content) {
    if (content.problem().code != ProblemCode::NotFound) return std::move(content).problem();
    return Problem{ProblemCode::NotFound, "there is no study in this folder", folder.string(),
                   fmt::format("Make one: leeward new {} --name \"Your area\"", folder.string())};
  }
  toml::table table;
  try {
    table = toml::parse(std::string_view(*content));
  } catch (const toml::parse_error& error) {
    return Problem{ProblemCode::BadData, fmt::format("the study file can't be read: {}", error.description()),
                   fmt::format("{}, line {}, column {}", study.file().string(), error.source().begin.line, error.source().begin.column), "Correct that line"};
  }
  auto result = read(table, std::move(study));
  if (!result) return std::move(result).problem().at(folder.string());
  return result;
}

std::string newStudyText(const std::string& name, const std::string& crs) {
  const auto quoted = [](const std::string& text) { return toml::value<std::string>(text); };
  std::ostringstream out;
  out << "# A Leeward study. Every key is optional; those behind # show their starting value.\n\n[study]\nname = " << quoted(name)
      << "\ncrs = " << quoted(crs) << R"(             # the frame for areas and distances; auto: equal-area, centred on the study
# seed = 1                 # of every random draw
# level = 0.90             # of every interval
# as_of = 2025-09-30       # freezes the figures at the end of a day; without it: today
# service_interval_days = 120   # a known dog is due so many days after its last visit, and overdue from the next day on
# top = 20                 # how many blocks "the top" means

# Public layers come in by: leeward take-in DIR KIND FILE
# (premises, streets, blocks, areas, census, heat, weather, jurisdictions, boundary, water, parks)

[looks]                    # chance that one look sees a dog kept outdoors there: one number, or winter, spring, summer, autumn.
# These are parameters, not estimates (common practice, no published source): set them to what your crews find.
# knock = [0.75, 0.8, 0.8, 0.8]
# street = [0.4, 0.5, 0.5, 0.5]
# call = 0.3
# track = [0.2, 0.25, 0.25, 0.25]
# half_life_days = 365     # after so long, half of what a look told no longer holds

[need]                     # shown beside the ranking, never multiplied into it
# indicators = [{ column = "B17001_002E", per = "B17001_001E", margin = "B17001_002M", direction = "more", weight = 1, label = "People in poverty", unit = "share" }]

[outings]
# start = [0.0, 0.0]       # lon, lat where crews set out; without it: the middle of the study
# crews = 1
# hours = 4
# minutes_per_door = 4
# minutes_per_visit = 25
# walking_kmh = 4
# driving_kmh = 30

[improved]                 # fewer unmet items, no new critical one, on full checks at least so many days apart
# days_apart = 28

[clusters]                 # of sightings
# within_m = 150
# at_least = 5

[outputs]
# sheets = ["coverage", "next", "need", "sightings", "changed"]
# format = "pdf"           # or "svg", "png"
# briefs = ["board"]
# tables = ["next.csv", "workbook.xlsx"]
# changed_by = "jurisdictions"
# every = "quarter"
)";
  return out.str();
}

std::string withSource(const std::string& text, const std::string& kind, const SourceTable& source) {
  const auto quoted = [](const std::string& value) {
    std::ostringstream out;
    out << toml::value<std::string>(value);
    return out.str();
  };
  std::string table = "[" + kind + "]\n";
  const auto line = [&](const char* key, const std::string& value) {
    if (!value.empty()) table += fmt::format("{} = {}\n", key, quoted(value));
  };
  line("file", source.file);
  line("layer", source.layer);
  if (!source.columns.empty()) {
    std::vector<std::string> pairs;
    for (const auto& [field, column] : source.columns) pairs.push_back(fmt::format("{} = {}", field, quoted(column)));
    table += "columns = { " + join(pairs, ", ") + " }\n";
  }
  line("crs", source.crs);
  line("kind", source.kind);
  line("unit", source.unit);
  line("year", source.year);
  line("source", source.source);
  line("licence", source.licence);
  line("label", source.label);

  // The old table runs from its heading to the next heading, or to the end.
  std::string out;
  bool inside = false, placed = false;
  for (const auto piece : split(text, '\n')) {
    const auto stripped = trim(piece);
    if (stripped.starts_with('[')) {
      std::string heading(stripped.substr(0, stripped.find('#')));
      std::erase_if(heading, [](char c) { return c == ' ' || c == '\t' || c == '\r' || c == '"' || c == '\''; });
      inside = heading == "[" + kind + "]" || heading.starts_with("[" + kind + ".");  // its parts ([kind.columns]) are said anew too
      if (inside && !placed) {
        out += table + "\n";
        placed = true;
      }
    }
    if (!inside) out += std::string(piece) + "\n";
  }
  while (out.ends_with("\n\n")) out.pop_back();
  if (!placed) out += "\n" + table;
  return out;
}

}  // namespace leeward::study
