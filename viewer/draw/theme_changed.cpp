// "What changed?"
#include "viewer/draw/palette.h"
#include "viewer/draw/theme_parts.h"

namespace leeward::draw {
namespace {

constexpr std::array<const char*, 5> kCounts = {"visits", "given_up", "improved", "neutered", "referred"};
using Sums = std::array<double, kCounts.size()>;

struct Change {
  std::map<std::string, Sums> by_area;  ///< over the latest periods, each animal once; keyed by area_name and area_id alike
  Sums all{};
  std::string first, last;  ///< the periods' names, the last with its last day where it isn't over
  int periods = 0;
};

/// The latest periods on record, as counted over all of them at once.
Change latest(const study::Findings& findings) {
  Change change;
  const std::vector<std::string> periods = texts(findings.changed, "period");
  const std::set<std::string> known(periods.begin(), periods.end());
  if (known.empty()) return change;
  change.periods = std::min(static_cast<int>(known.size()), study::kShownPeriods);
  change.first = *std::next(known.rbegin(), change.periods - 1);
  const std::string partial = study::partialPeriod(findings.changed);
  change.last = partial.empty() ? *known.rbegin() : partial;
  const Table& totals = findings.changed_totals;
  const std::vector<std::string> names = texts(totals, "area_name"), ids = texts(totals, "area_id"), spans = texts(totals, "span");
  for (std::size_t c = 0; c < kCounts.size(); ++c) {
    const std::vector<double> values = reals(totals, kCounts[c]);
    for (std::size_t i = 0; i < values.size(); ++i) {
      if (spans[i] != std::to_string(study::kShownPeriods) || std::isnan(values[i])) continue;
      if (ids[i].empty() && names[i] == study::kTogether) {
        change.all[c] = values[i];
        continue;
      }
      change.by_area[names[i]][c] = values[i];
      // What lies elsewhere has no id: it must not pass for areas that have no name, such as a lake.
      if (!ids[i].empty() && ids[i] != names[i]) change.by_area[ids[i]][c] = values[i];
    }
  }
  return change;
}

QString noteWords(const std::string& name, const Sums& sums) {
  return QStringLiteral("%1\n%2 visits\ngiven up %3 \u00B7 improved %4\nneutered %5 \u00B7 referred %6")
      .arg(QString::fromStdString(name), decimal(sums[0], 0), decimal(sums[1], 0), decimal(sums[2], 0), decimal(sums[3], 0),
           decimal(sums[4], 0));
}

/// The context layer whose areas carry the names or ids of `changed`.
const Layer* areasOf(const study::Findings& findings, const Change& change) {
  for (const study::Findings::Context& context : findings.context) {
    for (const std::string& name : texts(context.layer.table, "name")) {
      if (context.layer.hasGeometry() && change.by_area.contains(name)) return &context.layer;
    }
  }
  return nullptr;
}

std::string keyOf(const Layer& areas, std::size_t row) {
  const Column* name = areas.table.find("name");
  return name != nullptr ? name->asText(row) : std::string();
}

}  // namespace

MapTheme whatChanged(const study::Findings& findings, const ThemeOptions& options) {
  MapTheme theme = startTheme(Question::WhatChanged, findings);
  const Change change = latest(findings);
  const Layer* areas = areasOf(findings, change);
  MapLayer blocks = blockLayer(findings);
  LegendGroup group{QStringLiteral("Visits"), QStringLiteral("in the last %1 periods").arg(change.periods), {}};
  std::vector<double> values;
  if (areas == nullptr) {
    for (const std::string& id : texts(findings.blocks.table, "group_id")) {
      const auto it = change.by_area.find(id);
      values.push_back(it == change.by_area.end() ? std::numeric_limits<double>::quiet_NaN() : it->second[0]);
    }
    classifyBlocks(blocks, group, values, roundQuantileClasses(values, 5), brewerBlues(), QStringLiteral("no record"));
    theme.legend.groups.push_back(group);
  } else {
    Sign quiet;
    quiet.fill.colour = shadeInUse() == Shade::Dark ? QColor(0x26, 0x31, 0x38) : QColor(0xEB, 0xF1, 0xF6);
    quiet.edge = {ground::kPaper, 0.5};
    blocks.signs = {quiet};
  }
  theme.picture.layers.push_back(blocks);
  addGround(theme.picture, findings, options);
  if (areas != nullptr) {
    MapLayer notes;
    notes.name = "changed";
    notes.geometry = &areas->geometry;
    Sign outline;
    outline.words = QString::fromStdString(findings.changed_by);
    outline.edge = {ground::kBoundary, 1.3};
    notes.signs = {outline};
    notes.label_kind = LabelKind::Note;
    for (std::size_t i = 0; i < areas->rows(); ++i) {
      const auto it = change.by_area.find(keyOf(*areas, i));
      notes.labels.push_back(it == change.by_area.end() ? QString() : noteWords(it->first, it->second));
    }
    theme.picture.layers.push_back(notes);
    theme.legend.groups.push_back({QStringLiteral("Areas"), {}, {{outline, outline.words, {}, {}, true}}});
  }
  if (change.periods == 0) {
    theme.finding = QStringLiteral("Nothing is on record yet.");
  } else if (std::ranges::all_of(change.all, [](double count) { return count == 0; })) {
    theme.finding = QStringLiteral("No visit and no outcome is on record from %1 to %2").arg(QString::fromStdString(change.first), QString::fromStdString(change.last));
    if (findings.record_ends) theme.finding += QStringLiteral("; the record ends on %1").arg(QString::fromStdString(toWords(*findings.record_ends)));
    theme.finding += QStringLiteral(". That nothing was written does not mean that nothing changed.");
  } else {
    theme.finding =
        QStringLiteral(
            "From %1 to %2, in %3 visits: %4 given up to the team, %5 improved, %6 neutered, %7 referred. "
            "These are changes; what caused them is not shown here.")
            .arg(QString::fromStdString(change.first), QString::fromStdString(change.last), decimal(change.all[0], 0),
                 decimal(change.all[1], 0), decimal(change.all[2], 0), decimal(change.all[3], 0), decimal(change.all[4], 0));
  }
  theme.counted = QStringLiteral("n = %1, %2 met on the whole record")
                      .arg(countOf(findings.totals.visits, "visit", "visits"), countOf(findings.totals.dogs_met, "dog", "dogs"));
  theme.method = QString::fromStdString(findings.improved_rule);
  return theme;
}

}  // namespace leeward::draw
