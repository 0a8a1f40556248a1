#include "viewer/study/run/sighting_layers.h"

#include <cmath>
#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "analysis/sightings/clusters.h"
#include "viewer/study/files/cluster_points.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {

Result<SightingLayers> sightingLayers(const RunContext& context, const Book& book, const std::vector<std::string>& block_ids, Progress progress) {
  const std::size_t n = book.sightings.rows();
  std::vector<double> days(n);
  for (std::size_t row = 0; row < n; ++row) days[row] = book.sighting_date[row].days;
  const auto& settings = context.study.clusters;
  LEEWARD_ASSIGN(found, analysis::findClusters(book.sighting_position, days, {settings.within_m, static_cast<std::size_t>(settings.at_least), std::nullopt}, progress));
  SightingLayers layers;
  layers.sightings.name = "sightings";
  layers.clusters.name = "clusters";
  layers.sightings.crs = layers.clusters.crs = context.frame;

  std::vector<std::string> date, block(n), role;
  std::vector<std::optional<std::int64_t>> cluster(n);
  for (std::size_t row = 0; row < n; ++row) {
    date.push_back(toIso(book.sighting_date[row]));
    if (book.sighting_block[row] >= 0) block[row] = block_ids[static_cast<std::size_t>(book.sighting_block[row])];
    if (found.cluster[row] >= 0) cluster[row] = found.cluster[row];
    role.emplace_back(roleName(found.role[row]));
    if (std::isnan(book.sighting_position[row].x)) layers.sightings.geometry.addNone();
    else layers.sightings.geometry.addPoint(book.sighting_position[row]);
  }
  Table& table = layers.sightings.table;
  table = TableMaker{}.texts("sighting_id", textsOf(book.sightings, "id")).texts("date", date).texts("what", textsOf(book.sightings, "what"))
              .texts("source", textsOf(book.sightings, "source")).named("block_id", block).done();
  table.add(columnOf(book.sightings, "count"));
  table.add(TableMaker{}.integers("cluster", cluster).done().column(0));
  table.add(Column::text("role", role));

  std::vector<std::set<std::int64_t>> dogs(found.summary.size());
  for (std::size_t i = 0; i < book.animal_rows.size(); ++i) {
    if (book.animal_sources[i].from != AnimalSource::From::Sighting || book.dogs.animal[i] < 0) continue;
    const auto at = found.cluster[book.animal_sources[i].row];
    if (at < 0) continue;
    auto& set = dogs[static_cast<std::size_t>(at)];
    set.insert(book.dogs.animal[i]);
    set.insert(book.dogs.more[i].begin(), book.dogs.more[i].end());
  }
  std::vector<std::int64_t> number, sightings, dog_count;
  std::vector<std::string> first, last;
  for (std::size_t i = 0; i < found.summary.size(); ++i) {
    number.push_back(static_cast<std::int64_t>(i));
    sightings.push_back(static_cast<std::int64_t>(found.summary[i].points));
    dog_count.push_back(static_cast<std::int64_t>(dogs[i].size()));
    first.push_back(toIso(Date{static_cast<std::int32_t>(found.summary[i].first_day)}));
    last.push_back(toIso(Date{static_cast<std::int32_t>(found.summary[i].last_day)}));
  }
  layers.clusters.geometry = std::move(found.hulls);
  layers.clusters.table = TableMaker{}.integers("cluster", number).integers("sightings", sightings).integers("dogs", dog_count).texts("first", first).texts("last", last).done();
  return layers;
}

}  // namespace leeward::study
