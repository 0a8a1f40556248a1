#include <memory>

#include <fmt/format.h>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/place_log.h"

namespace leeward::command {

void addPlace(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("place", "Place a log of addresses on address points and street ranges");
  auto request = std::make_shared<study::PlaceLogRequest>();
  verb->add_option("LOG", request->log, "Table of addresses")->required();
  verb->add_option("--address", request->address, "Column with the address")->required()->type_name("COLUMN");
  verb->add_option("--city", request->city, "Column with the town")->type_name("COLUMN");
  verb->add_option("--postcode", request->postcode, "Column with the postcode")->type_name("COLUMN");
  verb->add_option("--points", request->points, "Reference: address points")->type_name("FILE");
  verb->add_option("--streets", request->streets, "Reference: street lines with number ranges")->type_name("FILE");
  verb->add_option("--map", request->points_map, "Corrections of the columns guessed in --points: field=Column,...");
  verb->add_option("--streets-map", request->streets_map, "Likewise for --streets");
  verb->add_option("--crs", request->crs, "Coordinates of reference tables that don't say: EPSG:n, or local")->type_name("CRS")->check(crsText());
  addOutput(*verb, terminal, kLayerEndings);
  addCommonOptions(*verb, terminal, {.strict = true});
  verb->callback([request, &terminal] {
    auto progress = terminal.progress();
    auto placed = study::placeLog(*request, progress);
    if (!placed) return terminal.fail(placed.problem());
    terminal.say(placed->taken);
    for (const auto& remark : placed->remarks) terminal.say("Note: " + remark);
    terminal.say(fmt::format("{} placed, {} undecided, {} without a place", placed->placed, placed->undecided, placed->none));
    terminal.deliver(placed->layer, {.refused = std::move(placed->refused),
                                     .members = fmt::format("\"placed\":{},\"undecided\":{},\"none\":{}", placed->placed, placed->undecided, placed->none)});
  });
}

}  // namespace leeward::command
