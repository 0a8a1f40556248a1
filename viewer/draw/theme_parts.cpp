#include "viewer/draw/theme_parts.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "shared/base/text.h"
#include "viewer/draw/palette.h"

namespace leeward::draw {
namespace {

Sign areaSign(const QColor& fill, const Stroke& edge = {}) {
  Sign sign;
  sign.fill.colour = fill;
  sign.edge = edge;
  return sign;
}

Sign lineSign(const QColor& colour, double width_pt, double casing_pt, bool dashed = false) {
  Sign sign;
  sign.edge = {colour, width_pt, dashed};
  if (casing_pt > 0) sign.casing = {ground::kStreetCasing, casing_pt};
  return sign;
}

std::vector<QString> names(const Table& table, std::size_t rows) {
  const Column* column = table.find("name");
  std::vector<QString> words(rows);
  for (std::size_t i = 0; column != nullptr && i < rows; ++i) words[i] = QString::fromStdString(column->asText(i));
  return words;
}

MapLayer contextLayer(const study::Findings::Context& context) {
  MapLayer layer;
  layer.name = context.kind;
  layer.geometry = &context.layer.geometry;
  layer.labels = names(context.layer.table, context.layer.rows());
  if (context.kind == "water") {
    layer.signs = {areaSign(ground::kWater, {shadeInUse() == Shade::Dark ? QColor(0x35, 0x52, 0x5B) : QColor(0xB9, 0xCF, 0xD3), 0.4})};
    layer.label_kind = LabelKind::Water;
  } else if (context.kind == "park") {
    layer.signs = {areaSign(ground::kPark)};
    layer.label_coarsest_m_per_pt = 20;
  } else {
    // Census areas carry names like "Block Group 1", many times over: they get a line, no label, as do outlines of the whole.
    const bool is_census = context.kind == "area";
    layer.signs = {areaSign(Qt::transparent, {ground::kBoundary, is_census ? 0.5 : 0.9, true})};
    layer.label_kind = LabelKind::District;
    if (context.kind != "jurisdiction") layer.labels.clear();
  }
  return layer;
}

/// Metres between streets, from their length in the space that they fill: of a grid of spacing s, 2/s metres lie in each square metre.
double streetSpacing_m(const Geometries& streets) {
  double length = 0;
  for (std::size_t row = 0; row < streets.size(); ++row) {
    for (std::size_t k = 0; k < streets.paths(row); ++k) {
      const auto path = streets.path(row, k);
      for (std::size_t i = 1; i < path.size(); ++i) length += std::hypot(path[i].x - path[i - 1].x, path[i].y - path[i - 1].y);
    }
  }
  const Bbox box = streets.bbox();
  return length > 0 ? 2 * box.width() * box.height() / length : std::numeric_limits<double>::infinity();
}

/// Main streets, or all others: where these lie closer than the eye parts them they only hide what the map tells, and are left out.
MapLayer streetLayer(const study::Findings& findings, const ThemeOptions& options, bool main) {
  constexpr double kNamedUpTo_m_per_pt = 15, kClosest_pt = 6;
  MapLayer layer;
  layer.name = main ? "main streets" : "streets";
  layer.geometry = &findings.streets.geometry;
  layer.signs = {lineSign(ground::kStreet, 0.6, 1.5), lineSign(ground::kMainStreet, 1.2, 2.4),
                 lineSign(ground::kStreet, 0.5, 0, true)};
  for (const std::string& kind : texts(findings.streets.table, "kind")) {
    layer.sign_of_row.push_back((kind == "main") != main ? -1 : main ? 1 : kind == "path" ? 2 : 0);
  }
  layer.sign_of_row.resize(findings.streets.rows(), main ? -1 : 0);
  layer.label_kind = LabelKind::Street;
  if (options.street_names) {
    layer.labels = names(findings.streets.table, findings.streets.rows());
    for (std::size_t row = 0; row < layer.labels.size(); ++row) {
      if (layer.sign_of_row[row] < 0) layer.labels[row].clear();
    }
  }
  if (!main) layer.coarsest_m_per_pt = streetSpacing_m(findings.streets.geometry) / kClosest_pt;
  layer.label_coarsest_m_per_pt = std::min(kNamedUpTo_m_per_pt, layer.coarsest_m_per_pt);
  return layer;
}

}  // namespace

MapTheme startTheme(Question question, const study::Findings& findings) {
  MapTheme theme;
  theme.question = question;
  theme.title = questionTitle(question);
  theme.picture.ground = ground::kLand;
  theme.picture.extent = findings.blocks.geometry.bbox();
  for (const Layer* layer : {&findings.premises, &findings.streets, &findings.sightings}) {
    if (theme.picture.extent.isEmpty()) theme.picture.extent = layer->geometry.bbox();
  }
  return theme;
}

void addGround(MapPicture& picture, const study::Findings& findings, const ThemeOptions& options) {
  const auto is_ground = [](const std::string& kind) { return kind == "water" || kind == "park"; };
  for (const study::Findings::Context& context : findings.context) {
    if (is_ground(context.kind) && context.layer.hasGeometry()) picture.layers.push_back(contextLayer(context));
  }
  for (const bool main : {false, true}) {
    if (findings.streets.hasGeometry()) picture.layers.push_back(streetLayer(findings, options, main));
  }
  for (const study::Findings::Context& context : findings.context) {
    if (!is_ground(context.kind) && context.layer.hasGeometry()) picture.layers.push_back(contextLayer(context));
  }
}

void addPremises(MapPicture& picture, const study::Findings& findings, const ThemeOptions& options) {
  if (!options.premises || !findings.premises.hasGeometry()) return;
  MapLayer layer;
  layer.name = "premises";
  layer.geometry = &findings.premises.geometry;
  layer.coarsest_m_per_pt = 4;
  for (const char* key : {"never", "nobody", "none", "ontime", "overdue"}) {
    Sign sign;
    sign.symbol = Symbol::Disc;
    sign.size_pt = 3.2;
    sign.fill.colour = key == std::string_view("never") ? QColor(ground::kPaper) : stateSign(key).fill.colour;
    sign.edge = {ground::kInk, 0.5};
    layer.signs.push_back(sign);
  }
  for (const std::string& state : texts(findings.premises.table, "state")) {
    const auto& states = study::blockStates();
    const auto it = std::find_if(states.begin(), states.end(), [&](const study::BlockState& s) { return state == s.key; });
    layer.sign_of_row.push_back(it == states.end() ? 0 : static_cast<int>(it - states.begin()));
  }
  layer.sign_of_row.resize(findings.premises.rows(), 0);
  picture.layers.push_back(layer);
}

MapLayer blockLayer(const study::Findings& findings) {
  MapLayer layer;
  layer.name = "blocks";
  layer.geometry = &findings.blocks.geometry;
  return layer;
}

std::vector<double> reals(const Table& table, std::string_view column) {
  const Column* found = table.find(column);
  return found != nullptr ? found->toReals() : std::vector<double>(table.rows(), std::numeric_limits<double>::quiet_NaN());
}

std::vector<std::string> texts(const Table& table, std::string_view column) {
  std::vector<std::string> values(table.rows());
  const Column* found = table.find(column);
  for (std::size_t i = 0; found != nullptr && i < values.size(); ++i) values[i] = found->asText(i);
  return values;
}

QString count(std::int64_t n) { return QString::fromStdString(formatCount(n)); }

QString countOf(std::int64_t n, const char* one, const char* many) {
  return count(n) + QLatin1Char(' ') + QLatin1String(n == 1 ? one : many);
}

QString percent(double part, double whole) { return decimal(whole > 0 ? 100 * part / whole : 0, 0) + QStringLiteral("\u00A0%"); }

QString decimal(double value, int decimals) { return QString::number(value, 'f', decimals); }

QString wholeRange(double low, double high) {
  return count(std::llround(low)) + QStringLiteral(" to ") + count(std::llround(high));
}

void classifyBlocks(MapLayer& layer, LegendGroup& group, const std::vector<double>& values, const ClassLimits& limits,
                    const std::vector<QColor>& scheme, const QString& missing_words) {
  layer.signs = sequentialSigns(scheme, limits.words);
  layer.signs.push_back(unknownSign(missing_words));
  const int missing = static_cast<int>(layer.signs.size()) - 1;
  std::vector<std::int64_t> counts(layer.signs.size(), 0);
  layer.sign_of_row.clear();
  for (const double value : values) {
    const int found = limits.classOf(value);
    layer.sign_of_row.push_back(found < 0 ? missing : found);
    ++counts[static_cast<std::size_t>(layer.sign_of_row.back())];
  }
  for (std::size_t i = 0; i < layer.signs.size(); ++i) {
    if (counts[i] == 0 && static_cast<int>(i) == missing) continue;
    group.entries.push_back({layer.signs[i], layer.signs[i].words, countOf(counts[i], "block", "blocks"), {}, true});
  }
}

}  // namespace leeward::draw
