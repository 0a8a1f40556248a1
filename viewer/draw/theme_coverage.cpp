// "Where have we been, and where has nobody looked?" and "Where next?"
#include <cmath>

#include "shared/base/text.h"
#include "viewer/draw/palette.h"
#include "viewer/draw/theme_parts.h"

namespace leeward::draw {
namespace {

constexpr double kFirmChance = 0.8;  ///< a rank's badge is filled from this chance of belonging in the top k

QString countedWords(const study::Findings& f) {
  return QStringLiteral("n = %1, %2, %3 (%4 planned)")
      .arg(countOf(f.totals.blocks, "block", "blocks"), countOf(f.totals.doors, "door", "doors"),
           countOf(f.totals.looks, "look", "looks"), count(f.totals.planned_looks));
}

/// The k best blocks as a layer of their own over the ground: outlines and rank badges.
MapLayer topLayer(const study::Findings& findings) {
  MapLayer layer;
  layer.name = "top";
  layer.geometry = &findings.blocks.geometry;
  Sign outline;
  outline.edge = {kAccent, 1.5};
  layer.signs = {outline};
  layer.label_kind = LabelKind::Badge;
  const std::vector<double> ranks = reals(findings.blocks.table, "rank"), chances = reals(findings.blocks.table, "chance_rank_k");
  for (std::size_t i = 0; i < findings.blocks.rows(); ++i) {
    const bool top = ranks[i] <= findings.top_k;
    layer.sign_of_row.push_back(top ? 0 : -1);
    layer.labels.push_back(top ? QString::number(std::llround(ranks[i])) : QString());
    layer.label_rank.push_back(top ? static_cast<int>(std::llround(ranks[i])) : std::numeric_limits<int>::max());
    layer.badge_filled.push_back(chances[i] >= kFirmChance);
  }
  return layer;
}

double sumOverTop(const study::Findings& findings, std::string_view column) {
  const std::vector<double> ranks = reals(findings.blocks.table, "rank"), values = reals(findings.blocks.table, column);
  double sum = 0;
  for (std::size_t i = 0; i < ranks.size(); ++i) {
    if (ranks[i] <= findings.top_k && !std::isnan(values[i])) sum += values[i];
  }
  return sum;
}

}  // namespace

MapTheme beenAndNotBeen(const study::Findings& findings, const ThemeOptions& options) {
  MapTheme theme = startTheme(Question::BeenAndNotBeen, findings);
  MapLayer blocks = blockLayer(findings);
  LegendGroup group{QStringLiteral("State of each block"), QStringLiteral("the worst of its doors"), {}};
  const auto& states = study::blockStates();
  for (const study::BlockState& state : states) blocks.signs.push_back(stateSign(state.key));
  blocks.signs.push_back(unknownSign(QStringLiteral("no doors")));
  std::vector<std::int64_t> counts(blocks.signs.size(), 0);
  const std::vector<std::string> keys = texts(findings.blocks.table, "state");
  const std::vector<double> doors = reals(findings.blocks.table, "doors");
  for (std::size_t i = 0; i < findings.blocks.rows(); ++i) {
    const auto it = std::find_if(states.begin(), states.end(), [&](const study::BlockState& s) { return keys[i] == s.key; });
    const std::size_t sign = doors[i] == 0 ? states.size() : static_cast<std::size_t>(it - states.begin());
    blocks.sign_of_row.push_back(static_cast<int>(sign));
    ++counts[sign];
  }
  for (std::size_t i = 0; i < blocks.signs.size(); ++i) {
    if (i == states.size() && counts[i] == 0) continue;
    group.entries.push_back({blocks.signs[i], blocks.signs[i].words, count(counts[i]), {}, true});
  }
  theme.picture.layers.push_back(blocks);
  addGround(theme.picture, findings, options);
  addPremises(theme.picture, findings, options);
  theme.legend.groups.push_back(group);
  const study::Findings::Totals& t = findings.totals;
  theme.finding = QStringLiteral(
                      "In %1 of %2 no door was ever looked at%3. Of %4, %5 (%6) have been looked at once or more. "
                      "A block where nobody looked is not a block without dogs.")
                      .arg(count(t.blocks_never), countOf(t.blocks, "block", "blocks"),
                           t.blocks_told > 0 ? QStringLiteral("; in %1 of these dogs are known from sightings alone").arg(count(t.blocks_told)) : QString(),
                           countOf(t.doors, "door", "doors"), count(t.doors_looked),
                           percent(static_cast<double>(t.doors_looked), static_cast<double>(t.doors)));
  theme.counted = countedWords(findings);
  theme.method =
      QStringLiteral(
          "A block is overdue if any dog known there is past its service interval of %1 days; \u201Cno dog found\u201D needs at "
          "least one look that got an answer or a view.")
          .arg(findings.service_interval_days);
  return theme;
}

MapTheme whereNext(const study::Findings& findings, const ThemeOptions& options) {
  MapTheme theme = startTheme(Question::WhereNext, findings);
  const std::vector<double> worth = reals(findings.blocks.table, "per_crew_hour");
  MapLayer blocks = blockLayer(findings);
  LegendGroup group{
      QStringLiteral("Worth of a crew-hour"), QStringLiteral("expected unmet dogs in need, per hour of a crew"), {}};
  classifyBlocks(blocks, group, worth, roundQuantileClasses(worth, 5), brewerPurples(),
                 QStringLiteral("no doors, or not ranked"));
  theme.picture.layers.push_back(blocks);
  addGround(theme.picture, findings, options);
  addPremises(theme.picture, findings, options);
  theme.picture.layers.push_back(topLayer(findings));
  theme.legend.groups.push_back(group);

  LegendGroup ranks{QStringLiteral("The %1 best blocks, by rank").arg(findings.top_k), {}, {}};
  ranks.entries.push_back(
      {{}, QStringLiteral("firm: belongs here with a chance of 80\u00A0% or more"), {}, QStringLiteral("1"), true});
  ranks.entries.push_back(
      {{}, QStringLiteral("open: a lower chance; other blocks may be as good"), {}, QStringLiteral("9"), false});
  theme.legend.groups.push_back(ranks);

  theme.finding =
      QStringLiteral(
          "The %1 best blocks hold an expected %2 of some %3 dogs that no crew has met yet (%4\u00A0% interval for the whole: "
          "%5).")
          .arg(QString::number(findings.top_k), decimal(sumOverTop(findings, "unmet"), 0), QString::fromStdString(formatCount(std::llround(findings.totals.unmet))),
               decimal(100 * findings.level, 0), wholeRange(findings.totals.unmet_low, findings.totals.unmet_high));
  theme.counted = countedWords(findings);
  theme.method = QStringLiteral(
      "Ranked by expected unmet dogs in need per crew-hour; class limits are quantiles, rounded. Colours: ColorBrewer "
      "Purples (Harrower & Brewer 2003).");
  return theme;
}

}  // namespace leeward::draw
