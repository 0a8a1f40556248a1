// "Where is the need?"
#include <algorithm>
#include <array>
#include <cmath>

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

constexpr int kInkAlpha = 120;                                ///< of the hatching, so that the colours beneath are read first
constexpr double kSomeNever = 1.0 / 3, kMostNever = 2.0 / 3;  ///< share of a block's doors at which nobody ever looked

/// Two things at once: the index by colour, and by hatching how much of a block nobody has ever looked at, so that they are told apart without
/// colours too. Each class of the one is crossed with each of the other.
LegendGroup hatchLooks(MapLayer& blocks, const study::Findings& findings) {
  const std::vector<double> never = reals(findings.blocks.table, "share_never"), doors = reals(findings.blocks.table, "doors");
  const std::size_t classes = blocks.signs.size();
  const std::array<Pattern, 3> patterns = {Pattern::None, Pattern::Hatch, Pattern::CrossHatch};
  const std::array<QString, 3> words = {QStringLiteral("a third of the doors or fewer"), QStringLiteral("over a third of the doors"), QStringLiteral("over two thirds of the doors")};
  LegendGroup group{QStringLiteral("Never looked at"), {}, {}};
  const std::vector<Sign> plain = blocks.signs;
  blocks.signs.clear();
  for (const Pattern pattern : patterns) {
    for (Sign sign : plain) {
      // Ink that stands off its own ground: the index is dark where it is high.
      const bool is_dark = sign.fill.colour.lightnessF() < 0.55F && sign.fill.colour.alpha() > 0;
      if (pattern != Pattern::None) sign.fill.pattern = pattern, sign.fill.ink = is_dark ? QColor(0xF4, 0xF6, 0xF8, kInkAlpha) : QColor(0x2B, 0x33, 0x38, kInkAlpha);
      blocks.signs.push_back(sign);
    }
  }
  std::array<std::int64_t, 3> counts{};
  for (std::size_t row = 0; row < blocks.sign_of_row.size(); ++row) {
    const std::size_t looks = !(doors[row] > 0) || !(never[row] > kSomeNever) ? 0 : never[row] > kMostNever ? 2 : 1;
    blocks.sign_of_row[row] += static_cast<int>(looks * classes);
    counts[looks] += doors[row] > 0 ? 1 : 0;
  }
  for (std::size_t k = 0; k < patterns.size(); ++k) {
    Sign sign = plain.front();
    sign.fill = {ground::kPaper, patterns[k], seeThrough(ground::kInk, kInkAlpha)};
    group.entries.push_back({sign, words[k], countOf(counts[k], "block", "blocks"), {}, true});
  }
  return group;
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
  theme.legend.groups.push_back(group);
  const bool is_known = std::ranges::any_of(need, [](double index) { return !std::isnan(index); });
  if (options.looks_over && is_known && !discs) theme.legend.groups.push_back(hatchLooks(blocks, findings));
  theme.picture.layers.push_back(blocks);
  addGround(theme.picture, findings, options);
  addPremises(theme.picture, findings, options);
  if (discs) theme.picture.layers.push_back(*discs);

  const std::vector<std::string> states = texts(findings.blocks.table, "state");
  const std::vector<double> doors = reals(findings.blocks.table, "doors");
  std::int64_t high = 0, high_never = 0, known = 0;
  for (std::size_t i = 0; i < need.size(); ++i) {
    known += std::isnan(need[i]) ? 0 : 1;
    if (!(need[i] > 0.6)) continue;
    ++high;
    high_never += states[i] == "never" && doors[i] > 0 ? 1 : 0;  // where there is no door nobody can have looked
  }
  theme.finding = !is_known ? QStringLiteral("How need lies is not known: this study names no indicators of it, or their figures are missing.")
                            : QStringLiteral("The index is over 0.6 in %1 of %2; nobody has ever looked at %3 of these.")
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
