// "Where is the need?"
#include "viewer/draw/palette.h"
#include "viewer/draw/theme_parts.h"

namespace leeward::draw {
namespace {

ClassLimits needClasses() {
  return {{0.2, 0.4, 0.6, 0.8, 1.0},
          {QStringLiteral("0 to 0.2"), QStringLiteral("over 0.2 to 0.4"), QStringLiteral("over 0.4 to 0.6"), QStringLiteral("over 0.6 to 0.8"),
           QStringLiteral("over 0.8 to 1")}};
}

}  // namespace

MapTheme whereNeedIs(const study::Findings& findings, const ThemeOptions& options) {
  MapTheme theme = startTheme(Question::WhereNeedIs, findings);
  const std::vector<double> need = reals(findings.blocks.table, "need");
  const ClassLimits limits = needClasses();
  MapLayer blocks = blockLayer(findings);
  LegendGroup group{QStringLiteral("Need index"), QStringLiteral("0 = least, 1 = most, from the indicators of this study"), {}};
  classifyBlocks(blocks, group, need, limits, brewerBlues(), QStringLiteral("not known"));
  theme.picture.layers.push_back(blocks);
  addGround(theme.picture, findings, options);
  addPremises(theme.picture, findings, options);
  theme.legend.groups.push_back(group);

  const std::vector<std::string> states = texts(findings.blocks.table, "state");
  std::int64_t high = 0, high_never = 0, known = 0;
  for (std::size_t i = 0; i < need.size(); ++i) {
    known += std::isnan(need[i]) ? 0 : 1;
    if (!(need[i] > 0.6)) continue;
    ++high;
    high_never += states[i] == "never" ? 1 : 0;
  }
  theme.finding = QStringLiteral("The index is over 0.6 in %1 of %2; nobody has ever looked at %3 of these.")
                      .arg(count(high), countOf(known, "block", "blocks"), count(high_never));
  theme.counted = QStringLiteral("n = %1 with an index").arg(countOf(known, "block", "blocks"));
  theme.method = QStringLiteral("Equal classes of the index. It says where conditions for outdoor dogs are likely hard, not what any household "
                                "does: it is no list for enforcement. Colours: ColorBrewer Blues (Harrower & Brewer 2003).");
  return theme;
}

}  // namespace leeward::draw
