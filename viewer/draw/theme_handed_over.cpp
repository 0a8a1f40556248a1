#include "viewer/draw/theme_handed_over.h"

#include "viewer/draw/palette.h"
#include "viewer/draw/theme_parts.h"

namespace leeward::draw {
namespace {

QString shownOr(std::optional<std::int64_t> value) { return value ? count(*value) : QStringLiteral("withheld"); }

QString noteOf(const study::ToldCounts& counts, std::size_t area, std::size_t column) {
  const auto value = [&](std::size_t kind) { return shownOr(counts.shown(area, column, kind)); };
  return QStringLiteral("%1\nlooks %2 \u00B7 visits %3\ngiven up %4 \u00B7 improved %5\nneutered %6 \u00B7 referred %7")
      .arg(QString::fromStdString(counts.area_name[area]), value(0), value(1), value(3), value(4), value(5), value(6));
}

void classify(MapLayer& layer, LegendGroup& group, const std::vector<double>& values) {
  ClassLimits limits = roundQuantileClasses(values, 5);
  if (!limits.upper.empty() && limits.upper.front() == 0) limits.words.front() = QStringLiteral("none");
  layer.signs = sequentialSigns(brewerBlues(), limits.words);
  layer.signs.push_back(unknownSign(QStringLiteral("withheld")));
  std::vector<std::int64_t> in_class(layer.signs.size());
  for (const double value : values) {
    const int found = limits.classOf(value);
    layer.sign_of_row.push_back(found < 0 ? static_cast<int>(layer.signs.size()) - 1 : found);
    ++in_class[static_cast<std::size_t>(layer.sign_of_row.back())];
  }
  for (std::size_t i = 0; i < layer.signs.size(); ++i) {
    layer.signs[i].edge = {ground::kBoundary, 0.9};
    if (in_class[i] > 0) group.entries.push_back({layer.signs[i], layer.signs[i].words, countOf(in_class[i], "area", "areas"), {}, true});
  }
}

/// Whole years stand behind the periods: the last column is the latest year, if there is one.
std::size_t latestColumn(const study::ToldCounts& counts) { return counts.column.size() - 1; }

}  // namespace

MapTheme handedOver(const study::Findings& findings, const study::ToldAreas& areas, const study::ToldCounts& counts) {
  MapTheme theme = startTheme(Question::WhatChanged, findings);
  const std::size_t column = latestColumn(counts);
  const QString span = QString::fromStdString(counts.column[column]);
  theme.title = QStringLiteral("What was done, by area: %1").arg(span);
  ThemeOptions ground_only;
  ground_only.street_names = false;
  if (areas.layer.hasGeometry()) {
    MapLayer layer;
    layer.name = "areas";
    layer.geometry = &areas.layer.geometry;
    // Boxes of figures for more areas would hide the map: they get their names, and the table has the figures.
    constexpr std::size_t kMostNotes = 8;
    const bool with_figures = areas.layer.rows() <= kMostNotes;
    layer.label_kind = with_figures ? LabelKind::Note : LabelKind::Place;
    std::vector<double> visits;
    for (std::size_t row = 0; row < areas.layer.rows(); ++row) {
      const auto value = counts.shown(row + 1, column, study::kVisits);
      visits.push_back(value ? static_cast<double>(*value) : std::numeric_limits<double>::quiet_NaN());
      layer.labels.push_back(with_figures ? noteOf(counts, row + 1, column) : QString::fromStdString(counts.area_name[row + 1]));
    }
    LegendGroup group{QStringLiteral("Visits"), QStringLiteral("with permission, in %1").arg(span), {}};
    classify(layer, group, visits);
    MapLayer notes = layer;  // over the streets
    notes.name = "figures";
    for (auto& sign : notes.signs) sign.fill = {};
    layer.labels.clear();
    theme.picture.layers.push_back(layer);
    addGround(theme.picture, findings, ground_only);
    theme.picture.layers.push_back(notes);
    theme.legend.groups.push_back(group);
  } else {
    addGround(theme.picture, findings, ground_only);
  }
  const auto whole = [&](std::size_t kind) { return shownOr(counts.shown(0, column, kind)); };
  theme.finding = QStringLiteral("In %1 the team looked %2 times and made %3 visits with permission; %4 dogs were met for the first time, %5 given up to the team, %6 improved, %7 neutered, %8 referred. "
                                 "Fewer visits are not fewer dogs: the team can't be everywhere.")
                      .arg(span, whole(0), whole(1), whole(2), whole(3), whole(4), whole(5), whole(6));
  theme.counted = QStringLiteral("n = %1 visits in all areas together").arg(whole(study::kVisits));
  theme.method = QStringLiteral("Each dog counts once in each column, at its first such event. Small counts, and those from which one could be worked out, are withheld. %1 "
                                "Colours: ColorBrewer Blues (Harrower & Brewer 2003).")
                     .arg(QString::fromStdString(findings.improved_rule));
  return theme;
}

}  // namespace leeward::draw
