#include <memory>

#include <fmt/format.h>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/locate_points.h"

namespace leeward::command {

void addLocate(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("locate", "Say which area each point is in, and how sure that is");
  auto request = std::make_shared<study::LocatePointsRequest>();
  verb->add_option("POINTS", request->points.source, "File with points")->required();
  verb->add_option("AREAS", request->areas.source, "File with areas")->required();
  verb->add_option("--id", request->id, "Column of the areas that names them; rows of one id are one area")->required()->type_name("COLUMN");
  verb->add_option("--uncertainty", request->uncertainty,
                   "Column of the points with their uncertainty in metres: the standard deviation on each axis (39 % lie within it, 86 % within twice it); "
                   "uncertainty_m in a file that place wrote: the radius that holds 95 %")
      ->type_name("COLUMN");
  verb->add_option("--holds", request->holds, "The uncertainty is the radius that holds this share of true places, such as 0.95")->type_name("SHARE");
  addPointColumns(*verb, request->points);
  addOutput(*verb, terminal, kLayerEndings);
  addCommonOptions(*verb, terminal, {.strict = true});
  verb->footer("New columns: area_id, area_chance, second_id, second_chance; all empty outside the areas. A point on a border belongs to the first of the areas there.");
  verb->callback([request, &terminal] {
    request->areas.crs = request->points.crs;
    auto progress = terminal.progress();
    auto found = study::locatePoints(*request, progress);
    if (!found) return terminal.fail(found.problem());
    terminal.say(fmt::format("{} {} in an area, {} outside all", found->inside, found->inside == 1 ? "point" : "points", found->outside));
    terminal.deliver(found->answer.layer, {.refused = std::move(found->answer.refused), .members = fmt::format("\"inside\":{},\"outside\":{}", found->inside, found->outside)});
  });
}

}  // namespace leeward::command
