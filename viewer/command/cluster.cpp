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
  verb->add_option("--within", request->within_m, "Reach in metres")->required()->check(numberFrom(0.001, 1e8))->type_name("M");
  verb->add_option("--at-least", request->at_least, "Points within reach, the point itself counted, that make a core")->required()->check(numberFrom(1, 1e9))->type_name("N");
  verb->add_option("--days", request->days, "Points must also be so few days apart")->check(numberFrom(0, 1e6))->type_name("D");
  verb->add_option("--when", request->when, "Column with an ISO date(-time) or a number of days")->type_name("COLUMN");
  addPointColumns(*verb, request->points);
  addOutput(*verb, terminal, kLayerEndings);
  addCommonOptions(*verb, terminal, {.strict = true});
  verb->callback([request, &terminal] {
    auto progress = terminal.progress();
    auto found = study::clusterPoints(*request, progress);
    if (!found) return terminal.fail(found.problem());
    terminal.say(fmt::format("{} clusters; distances in {}", found->clusters, found->frame));
    terminal.deliver(found->layer, {.refused = std::move(found->refused), .members = fmt::format("\"clusters\":{}", found->clusters)});
  });
}

}  // namespace leeward::command
