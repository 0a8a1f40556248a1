#include <memory>

#include <fmt/format.h>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/cluster_points.h"

namespace leeward::command {

void addCluster(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("cluster", "Find clusters of points by density (Ester et al. 1996; with --days Birant & Kut 2007)");
  auto request = std::make_shared<study::ClusterPointsRequest>();
  verb->add_option("POINTS", request->points.source, "File with points")->required();
  verb->add_option("--within", request->within_m, "Reach in metres")->required()->check(CLI::Range(0.001, 1e8));
  verb->add_option("--at-least", request->at_least, "Points within reach, the point itself counted, that make a core")->required()->check(CLI::Range(std::size_t{1}, std::size_t{1000000000}));
  verb->add_option("--days", request->days, "Points must also be so few days apart");
  verb->add_option("--when", request->when, "Column with an ISO date(-time) or a number of days");
  verb->add_option("--x", request->points.x_column, "Column of the x coordinate of a table");
  verb->add_option("--y", request->points.y_column, "Column of the y coordinate of a table");
  verb->add_option("--crs", request->points.crs, "Coordinates of a table: EPSG:n, or local for plane metres");
  verb->add_option("-o", terminal.output, "Output (.csv .gpkg .geojson .fgb)");
  addCommonOptions(*verb, terminal);
  verb->callback([request, &terminal] {
    auto progress = terminal.progress();
    auto found = study::clusterPoints(*request, progress);
    if (!found) return terminal.fail(found.problem());
    terminal.say(fmt::format("{} clusters; distances in {}", found->clusters, found->frame));
    terminal.deliver(found->layer);
  });
}

}  // namespace leeward::command
