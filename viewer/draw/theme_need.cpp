// "Where is the need?"
#include "viewer/draw/heat_image.h"
#include "viewer/draw/palette.h"
#include "viewer/draw/prepared_layer.h"
#include "viewer/draw/theme_parts.h"

namespace leeward::draw {
namespace {

ClassLimits needClasses() {
  return {{0.2, 0.4, 0.6, 0.8, 1.0},
          {QStringLiteral("0 to 0.2"), QStringLiteral("over 0.2 to 0.4"), QStringLiteral("over 0.4 to 0.6"),
           QStringLiteral("over 0.6 to 0.8"), QStringLiteral("over 0.8 to 1")}};
}

/// The raster as ground, and each block's class as the size of a disc: two fills on top of each other can't be read.
/// The discs' geometry is made here, so the theme holds it.
std::optional<MapLayer> putHeatBeneath(MapTheme& theme, MapLayer& blocks, const study::Findings& findings, LegendGroup& group) {
  const HeatImage heat = heatImage(*findings.heat, findings.crs, theme.picture.extent);
  if (heat.image.image.isNull()) return std::nullopt;
  theme.picture.image = heat.image;
  LegendRamp ramp{QStringLiteral("Heat beneath: ") + QString::fromStdString(findings.heat_kind),
                  QString::fromStdString(findings.heat_unit),
                  {},
                  heat.low,
                  heat.high};
  for (int i = 0; i < 24; ++i) ramp.colours.push_back(cividis(i / 23.0));
  theme.legend.ramps.push_back(ramp);
  theme.made = std::make_shared<Geometries>();
  for (std::size_t row = 0; row < findings.blocks.rows(); ++row) {
    const Point at = anchorInside(findings.blocks.geometry, row);
    if (std::isfinite(at.x))
      theme.made->addPoint(at);
    else
      theme.made->addNone();
  }
  MapLayer discs = blocks;
  discs.name = "need";
  discs.geometry = theme.made.get();
  for (std::size_t i = 0; i < discs.signs.size(); ++i) {
    const bool unknown = i + 1 == discs.signs.size();
    discs.signs[i].fill = {unknown ? QColor(Qt::transparent) : QColor(ground::kPaper)};
    discs.signs[i].edge = {ground::kInk, 0.8};
    discs.signs[i].symbol = unknown ? Symbol::Cross : Symbol::Disc;
    discs.signs[i].size_pt = unknown ? 3 : 2.5 + 1.9 * static_cast<double>(i);
    blocks.signs[i].fill = {};
    blocks.signs[i].edge = {QColor(255, 255, 255, 150), 0.5};
    for (LegendEntry& entry : group.entries) {
      if (entry.words == discs.signs[i].words) entry.sign = discs.signs[i];
    }
  }
  return discs;
}

}  // namespace

MapTheme whereNeedIs(const study::Findings& findings, const ThemeOptions& options) {
  MapTheme theme = startTheme(Question::WhereNeedIs, findings);
  const std::vector<double> need = reals(findings.blocks.table, "need");
  const ClassLimits limits = needClasses();
  MapLayer blocks = blockLayer(findings);
  LegendGroup group{QStringLiteral("Need index"), QStringLiteral("0 = least, 1 = most, from the indicators of this study"), {}};
  classifyBlocks(blocks, group, need, limits, brewerBlues(), QStringLiteral("not known"));
  std::optional<MapLayer> discs;
  if (options.heat_beneath && findings.heat) discs = putHeatBeneath(theme, blocks, findings, group);
  theme.picture.layers.push_back(blocks);
  addGround(theme.picture, findings, options);
  addPremises(theme.picture, findings, options);
  if (discs) theme.picture.layers.push_back(*discs);
  theme.legend.groups.push_back(group);

  const std::vector<std::string> states = texts(findings.blocks.table, "state");
  const std::vector<double> doors = reals(findings.blocks.table, "doors");
  std::int64_t high = 0, high_never = 0, known = 0;
  for (std::size_t i = 0; i < need.size(); ++i) {
    known += std::isnan(need[i]) ? 0 : 1;
    if (!(need[i] > 0.6)) continue;
    ++high;
    high_never += states[i] == "never" && doors[i] > 0 ? 1 : 0;  // where there is no door nobody can have looked
  }
  theme.finding = QStringLiteral("The index is over 0.6 in %1 of %2; nobody has ever looked at %3 of these.")
                      .arg(count(high), countOf(known, "block", "blocks"), count(high_never));
  theme.counted = QStringLiteral("n = %1 with an index").arg(countOf(known, "block", "blocks"));
  theme.method =
      QStringLiteral(
          "Equal classes of the index. It says where conditions for outdoor dogs are likely hard, not what any household "
          "does: it is no list for enforcement. Colours: ") +
      (discs ? QStringLiteral("cividis (Nu\u00F1ez et al. 2018).")
             : QStringLiteral("ColorBrewer Blues (Harrower & Brewer 2003)."));
  return theme;
}

}  // namespace leeward::draw
