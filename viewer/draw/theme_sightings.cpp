// "Where have dogs been seen?"
#include "viewer/draw/palette.h"
#include "viewer/draw/theme_parts.h"

namespace leeward::draw {
namespace {

struct Kind {
  const char* key;
  const char* words;
  Symbol symbol;
};
/// A dog itself, what keeps one, and mere signs: three shapes, so that colour is not needed.
constexpr std::array<Kind, 6> kKinds = {{{"dog", "dog seen", Symbol::Disc},
                                         {"house", "dog house", Symbol::Square},
                                         {"pen", "pen", Symbol::Diamond},
                                         {"chain", "chain or tie-out", Symbol::Cross},
                                         {"sign", "other sign", Symbol::Triangle},
                                         {"heard", "heard only", Symbol::Ring}}};

Sign sightingSign(const Kind& kind) {
  Sign sign;
  sign.words = QString::fromUtf8(kind.words);
  sign.symbol = kind.symbol;
  sign.size_pt = kind.symbol == Symbol::Disc ? 4 : 5;
  const bool open = kind.symbol == Symbol::Cross || kind.symbol == Symbol::Ring;
  sign.fill.colour = kind.symbol == Symbol::Disc ? okabe_ito::kBlue : open ? QColor(Qt::transparent) : okabe_ito::kSkyBlue;
  sign.edge = {open ? QColor(ground::kInk) : QColor(ground::kPaper), open ? 1.0 : 0.5};
  return sign;
}

MapLayer clusterLayer(const study::Findings& findings) {
  MapLayer layer;
  layer.name = "clusters";
  layer.geometry = &findings.clusters.geometry;
  Sign hull;
  hull.words = QStringLiteral("cluster, with its count of sightings");
  hull.fill.colour = QColor(kAccent.red(), kAccent.green(), kAccent.blue(), 26);
  hull.edge = {kAccent, 1.2};
  layer.signs = {hull};
  layer.label_kind = LabelKind::Badge;
  for (const double n : reals(findings.clusters.table, "sightings")) {
    layer.labels.push_back(std::isnan(n) ? QString() : QString::number(std::llround(n)));
    layer.label_rank.push_back(std::isnan(n) ? 0 : -static_cast<int>(std::llround(n)));
  }
  return layer;
}

QString findingWords(const study::Findings& findings) {
  const QString all = countOf(findings.totals.sightings, "sighting", "sightings");
  const std::vector<double> sizes = reals(findings.clusters.table, "sightings");
  if (sizes.empty()) return all + QStringLiteral(" are on record; they form no cluster.");
  const std::size_t largest = static_cast<std::size_t>(std::max_element(sizes.begin(), sizes.end()) - sizes.begin());
  const std::vector<std::string> first = texts(findings.clusters.table, "first"), last = texts(findings.clusters.table, "last");
  const auto from = parseIsoDate(first[largest]), to = parseIsoDate(last[largest]);
  QString words = QStringLiteral("%1 are on record and form %2; the largest has %3 sightings")
                      .arg(all, countOf(findings.totals.clusters, "cluster", "clusters"), decimal(sizes[largest], 0));
  if (from && to) {
    words +=
        QStringLiteral(" between %1 and %2").arg(QString::fromStdString(toWords(*from)), QString::fromStdString(toWords(*to)));
  }
  return words + QStringLiteral(". Reports come from where people pass and call, not from everywhere alike.");
}

}  // namespace

MapTheme sightingsTheme(const study::Findings& findings, const ThemeOptions& options) {
  MapTheme theme = startTheme(Question::Sightings, findings);
  MapLayer blocks = blockLayer(findings);
  Sign block;
  block.fill.colour = ground::kStreetCasing;
  block.edge = {ground::kRule, 0.4};
  blocks.signs = {block};
  theme.picture.layers.push_back(blocks);
  addGround(theme.picture, findings, options);
  if (findings.clusters.hasGeometry()) theme.picture.layers.push_back(clusterLayer(findings));

  MapLayer points;
  points.name = "sightings";
  points.geometry = &findings.sightings.geometry;
  for (const Kind& kind : kKinds) points.signs.push_back(sightingSign(kind));
  std::array<std::int64_t, kKinds.size()> counts{};
  for (const std::string& what : texts(findings.sightings.table, "what")) {
    const auto it = std::find_if(kKinds.begin(), kKinds.end(), [&](const Kind& kind) { return what == kind.key; });
    const std::size_t kind = it == kKinds.end() ? 4 : static_cast<std::size_t>(it - kKinds.begin());
    points.sign_of_row.push_back(static_cast<int>(kind));
    ++counts[kind];
  }
  LegendGroup group{QStringLiteral("Sightings"), QStringLiteral("one mark a report"), {}};
  for (std::size_t i = 0; i < kKinds.size(); ++i) {
    if (counts[i] > 0) group.entries.push_back({points.signs[i], points.signs[i].words, count(counts[i]), {}, true});
  }
  theme.picture.layers.push_back(points);
  theme.legend.groups.push_back(group);
  if (findings.clusters.hasGeometry()) {
    const Sign hull = clusterLayer(findings).signs.front();
    theme.legend.groups.push_back({QStringLiteral("Clusters"),
                                   {},
                                   {{hull, QStringLiteral("where sightings lie close together"), {}, {}, true},
                                    {{}, QStringLiteral("count of its sightings"), {}, QStringLiteral("9"), true}}});
  }
  theme.finding = findingWords(findings);
  theme.counted = QStringLiteral("n = %1, %2")
                      .arg(countOf(findings.totals.sightings, "sighting", "sightings"),
                           countOf(findings.totals.clusters, "cluster", "clusters"));
  theme.method = QStringLiteral(
      "Clusters by density (Ester et al. 1996), the point itself counted. Hulls have corners at homes: for the crew only.");
  return theme;
}

}  // namespace leeward::draw
