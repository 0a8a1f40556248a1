// "Where is the need?" by what planned looks found: the surroundings' finds a look, circles of the scan, blocks that stand out.
#include "shared/base/missing.h"
#include "viewer/draw/palette.h"
#include "viewer/draw/prepared_layer.h"
#include "viewer/draw/theme_parts.h"

namespace leeward::draw {
namespace {

/// The circles that chance hardly brings, as outlines of whole blocks.
MapLayer circleLayer(const study::Findings& findings, const std::vector<double>& p) {
  MapLayer layer;
  layer.name = "circles";
  layer.geometry = &findings.patterns.circles.geometry;
  Sign outline;
  outline.edge = {ground::kInk, 2.2};
  outline.words = QStringLiteral("more finds than chance brings somewhere");
  layer.signs = {outline};
  layer.label_kind = LabelKind::Badge;
  for (std::size_t row = 0; row < p.size(); ++row) {
    const bool shown = p[row] <= 1 - findings.level;
    layer.sign_of_row.push_back(shown ? 0 : -1);
    layer.labels.push_back(shown ? QString::number(row + 1) : QString());
    layer.label_rank.push_back(static_cast<int>(row));
  }
  return layer;
}

MapLayer standingLayer(const study::Findings& findings, MapTheme& theme, const std::vector<std::string>& stands) {
  theme.made = std::make_shared<Geometries>();
  MapLayer layer;
  layer.name = "standing";
  layer.geometry = theme.made.get();
  Sign more, fewer;
  more.symbol = Symbol::Triangle, more.size_pt = 6, more.fill.colour = ground::kInk, more.edge = {ground::kPaper, 0.8};
  more.words = QStringLiteral("more, with its neighbours");
  fewer.symbol = Symbol::Ring, fewer.size_pt = 5, fewer.edge = {ground::kInk, 1.2};
  fewer.words = QStringLiteral("fewer, with its neighbours");
  layer.signs = {more, fewer};
  for (std::size_t row = 0; row < findings.blocks.rows(); ++row) {
    const bool shown = row < stands.size() && !stands[row].empty();
    const Point at = shown ? anchorInside(findings.blocks.geometry, row) : Point{kNan, kNan};
    if (std::isfinite(at.x)) theme.made->addPoint(at);
    else theme.made->addNone();
    layer.sign_of_row.push_back(!shown ? -1 : stands[row] == "more" ? 0 : 1);
  }
  return layer;
}

QString toldOf(const study::Findings& findings, std::string_view column, std::initializer_list<std::string_view> topics) {
  const std::vector<std::string> topic = texts(findings.patterns.told, "topic"), words = texts(findings.patterns.told, column);
  QStringList all;
  for (std::size_t row = 0; row < topic.size(); ++row) {
    if (std::ranges::find(topics, topic[row]) != topics.end()) all += QString::fromStdString(words[row]);
  }
  return all.join(QLatin1Char(' '));
}

}  // namespace

MapTheme whereFindsGather(const study::Findings& findings, const ThemeOptions& options) {
  MapTheme theme = startTheme(Question::WhereNeedIs, findings);
  const Table& patterns = findings.patterns.blocks;
  std::vector<double> nearby = reals(patterns, "nearby");
  const std::vector<double> effort = reals(patterns, "effort");
  nearby.resize(findings.blocks.rows(), kNan);
  for (std::size_t row = 0; row < nearby.size(); ++row) nearby[row] = row < effort.size() && effort[row] > 0 ? 100 * nearby[row] : kNan;
  MapLayer blocks = blockLayer(findings);
  LegendGroup group{QStringLiteral("Finds nearby"), QStringLiteral("doors with dogs that a hundred planned looks found, smoothed; such a surface has hills by chance too"), {}};
  classifyBlocks(blocks, group, nearby, roundQuantileClasses(nearby, 5), brewerOranges(), QStringLiteral("no planned look"));
  theme.picture.layers.push_back(blocks);
  addGround(theme.picture, findings, options);
  addPremises(theme.picture, findings, options);
  theme.legend.groups.push_back(group);

  const std::vector<std::string> stands = texts(patterns, "stands_out");
  const auto count_of = [&](const char* which) { return std::ranges::count(stands, which); };
  if (count_of("more") + count_of("fewer") > 0) {
    MapLayer standing = standingLayer(findings, theme, stands);
    LegendGroup marks{QStringLiteral("Blocks that stand out"), QStringLiteral("finds against what the looking explains"), {}};
    if (count_of("more") > 0) marks.entries.push_back({standing.signs[0], standing.signs[0].words, countOf(count_of("more"), "block", "blocks"), {}, true});
    if (count_of("fewer") > 0) marks.entries.push_back({standing.signs[1], standing.signs[1].words, countOf(count_of("fewer"), "block", "blocks"), {}, true});
    theme.picture.layers.push_back(std::move(standing));
    theme.legend.groups.push_back(marks);
  }
  const std::vector<double> p = reals(findings.patterns.circles.table, "p");
  const auto sure = std::ranges::count_if(p, [&](double value) { return value <= 1 - findings.level; });
  if (sure > 0) {
    const MapLayer circles = circleLayer(findings, p);
    theme.picture.layers.push_back(circles);
    theme.legend.groups.push_back({QStringLiteral("Circles of blocks"), {}, {{circles.signs[0], circles.signs[0].words, count(sure), {}, true}}});
  }
  theme.finding = toldOf(findings, "finding", {"circle", "standing"});
  if (theme.finding.isEmpty()) theme.finding = toldOf(findings, "finding", {"even"});
  double doors = 0, found = 0;
  for (const double one : effort) doors += std::isnan(one) ? 0 : one;
  for (const double one : reals(patterns, "found_doors")) found += std::isnan(one) ? 0 : one;
  theme.counted = QStringLiteral("n = %1 found by planned looks, %2 effective planned doors").arg(countOf(std::llround(found), "door", "doors"), count(std::llround(doors)));
  theme.method = toldOf(findings, "method", {"even", "standing", "circle", "nearby", "explained"}) + QStringLiteral(" Class limits are quantiles, rounded. Colours: ColorBrewer Oranges (Harrower & Brewer 2003).");
  return theme;
}

}  // namespace leeward::draw
