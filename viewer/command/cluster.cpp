#include <map>
#include <memory>
#include <string>

#include <fmt/format.h>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/cluster_points.h"

namespace leeward::command {

void addCluster(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("cluster", "Find clusters of points by density (Ester et al. 1996; with --days Birant & Kut 2007; by hierarchy Campello et al. 2015)");
  auto request = std::make_shared<study::ClusterPointsRequest>();
  verb->add_option("POINTS", request->points.source, "File with points")->required();
  verb->add_option("--within", request->within_m, "Reach in metres (by density alone)")->check(numberFrom(0.001, 1e8))->type_name("M");
  verb->add_option("--at-least", request->at_least, "Points within reach, the point itself counted, that make a core; by hierarchy also the fewest of a cluster")->required()->check(numberFrom(1, 1e9))->type_name("N");
  verb->add_option("--days", request->days, "Points must also be so few days apart")->check(numberFrom(0, 1e6))->type_name("D");
  verb->add_option("--when", request->when, "Column with an ISO date(-time) or a number of days")->type_name("COLUMN");
  const std::map<std::string, study::ClusterMethod> methods = {{"density", study::ClusterMethod::Density}, {"hierarchy", study::ClusterMethod::Hierarchy}};
  verb->add_option_function<std::string>("--method", [request, methods](const std::string& name) { request->method = methods.at(name); },
                                         "density: one reach for all; hierarchy: each cluster at its own density, and an outlier score")
      ->check(CLI::IsMember({"density", "hierarchy"}))->default_str("density");
  addPointColumns(*verb, request->points);
  addOutput(*verb, terminal, kLayerEndings);
  addCommonOptions(*verb, terminal, {.strict = true});
  verb->callback([request, &terminal] {
    auto progress = terminal.progress();
    auto found = study::clusterPoints(*request, progress);
    if (!found) return terminal.fail(found.problem());
    terminal.say(fmt::format("{} of {} points lie in {} cluster{}; distances in {}. Clusters show where people looked and reported, not where dogs are; no p-value belongs to them.",
                             found->in_clusters, found->layer.rows(), found->clusters, found->clusters == 1 ? "" : "s", found->frame));
    terminal.deliver(found->layer, {.refused = std::move(found->refused), .members = fmt::format("\"clusters\":{}", found->clusters)});
  });
}

}  // namespace leeward::command
