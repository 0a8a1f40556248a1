#include "viewer/study/study_file.h"

#include <algorithm>
#include <cstdint>
#include <limits>
#include <set>
#include <string_view>
#include <utility>

#include <fmt/format.h>
#include <toml++/toml.h>

#include "analysis/outcomes/catalogue.h"
#include "shared/base/files.h"
#include "shared/base/seal.h"
#include "shared/base/text.h"
#include "viewer/study/files/neighbour_lists.h"

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

/// An inline table of texts.
void readPairs(TableReader& reader, const char* key, std::map<std::string, std::string>& out) {
  const auto* node = reader.get(key);
  if (node == nullptr) return;
  const auto* table = node->as_table();
  if (table == nullptr) return reader.wrong(*node, key, "a table like { number = \"House_No\" }");
  for (const auto& [name, value] : *table) {
    if (const auto text = value.value<std::string>()) out[std::string(name.str())] = *text;
    else reader.wrong(value, key, "texts in quotes");
  }
}

void readPrices(TableReader& reader, std::map<std::string, double>& out) {
  const auto* node = reader.get("prices");
  if (node == nullptr) return;
  const auto* table = node->as_table();
  if (table == nullptr) return reader.wrong(*node, "prices", "a table like { straw = 8.5 }");
  for (const auto& [name, value] : *table) {
    const auto price = value.value<double>();
    if (price && *price >= 0 && *price <= 1e6) out[std::string(name.str())] = *price;
    else reader.wrong(value, "prices", "prices from 0 to 1,000,000");
  }
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
  readPairs(reader, "columns", source.columns);
  readPairs(reader, "meanings", source.meanings);
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
      if (kind == "heat" && !source.kind.empty() && !isHeatKind(source.kind)) {
        r.wrong(*r.get("kind"), "kind", "land surface, air, index or proxy");
      }
      if (root.get(kind) != nullptr && !source.file.empty()) study.sources[kind] = std::move(source);
    });
  }
  for (const char* kind : {"visits", "sightings", "stock"}) {
    section(kind, [&](TableReader& r) {
      if (r.get("columns") != nullptr) readPairs(r, "columns", study.crew_columns[kind]);
    });
  }
  section("looks", [&](TableReader& r) { readLooks(r, study); });
  section("need", [&](TableReader& r) { readIndicators(r, study, problem); });
  section("outings", [&](TableReader& r) { readOutings(r, study.outings); });
  section("improved", [&](TableReader& r) { r.whole("days_apart", study.improved.days_apart, 1, 3650); });
  section("due", [&](TableReader& r) {
    r.whole("note_days", study.due.note_days, 1, 365);
    r.whole("referral_days", study.due.referral_days, 1, 365);
    r.whole("straw_days", study.due.straw_days, 0, 120);
    r.whole("straw_bales", study.due.straw_bales, 1, 20);
    r.whole("urgent_hours", study.due.urgent_hours, 1, 720);
    r.texts("urgent_call", study.due.urgent_call);
    if (r.get("bring") != nullptr) study.due.bring.clear();
    readPairs(r, "bring", study.due.bring);
    for (const auto& [id, what] : study.due.bring) {
      if (!analysis::conditionItemIndex(id)) r.wrong(*r.get("bring"), "bring", "items of the check by their ids, with what to bring: { water = \"bowl\" }");
    }
  });
  section("costs", [&](TableReader& r) {
    r.text("currency", study.costs.currency);
    r.number("crew_hour", study.costs.crew_hour, 0, 1e6);
    r.number("share_beyond_doors", study.costs.share_beyond_doors, 0, 10);
    readPrices(r, study.costs.prices);
  });
  section("clusters", [&](TableReader& r) {
    r.number("within_m", study.clusters.within_m, 1, 1e6);
    r.whole("at_least", study.clusters.at_least, 1, 1000000);
  });
  section("patterns", [&](TableReader& r) {
    r.text("neighbours", study.patterns.neighbours);
    if (study.patterns.neighbours != "auto") {
      const auto kind = neighbourKind(study.patterns.neighbours);
      if (!kind || kind->by == NeighbourKind::By::Edges) r.wrong(*r.get("neighbours"), "neighbours", "\"auto\", \"queen\", \"rook\", \"nearest:K\" or \"within:METRES\"");
    }
    r.whole("permutations", study.patterns.permutations, 99, 999999);
    r.whole("replicates", study.patterns.replicates, 0, 99999);
    r.number("largest", study.patterns.largest, 0.01, 1);
    r.number("nearby_m", study.patterns.nearby_m, 10, 1e5);
  });
  section("audiences", [&](TableReader& r) {
    for (auto& [name, rule] : study.audiences) {
      r.whole((name + "_threshold").c_str(), rule.threshold, 2, 1000);
      r.whole((name + "_k").c_str(), rule.k, 2, 1000);
    }
  });
  section("map", [&](TableReader& r) { r.text("ground", study.map.ground); });
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

bool isHeatKind(const std::string& kind) { return std::ranges::find(kHeatKinds, kind) != kHeatKinds.end(); }

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

fs::path StudyFile::ground() const {
  const fs::path path(map.ground);
  return path.empty() || path.is_absolute() ? path : folder / path;
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
  LEEWARD_TRY(unsealByAsking(result->ledger()));  // every use case passes here, so nothing else asks
  return result;
}

}  // namespace leeward::study
