#include <memory>

#include <fmt/format.h>

#include "viewer/command/neighbour_options.h"
#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/smooth_areas.h"

namespace leeward::command {

void addSmooth(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("smooth", "Empirical-Bayes rates of small areas (Marshall 1991; gamma-Poisson: Clayton & Kaldor 1987)");
  auto request = std::make_shared<study::SmoothAreasRequest>();
  verb->add_option("AREAS", request->areas.source, "Areas, or a table")->required();
  verb->add_option("--events", request->events, "Column with counts")->required()->type_name("COLUMN");
  verb->add_option("--exposure", request->exposure, "Column with what they are counted from")->required()->type_name("COLUMN");
  verb->add_option("--by", request->by, "Way to smooth")->check(CLI::IsMember({"marshall", "gamma-poisson"}))->capture_default_str();
  verb->add_flag("--local", request->local, "Towards the neighbourhood instead of the whole (Marshall)");
  addPointColumns(*verb, request->areas);
  addNeighbours(*verb, request->neighbours);
  addOutput(*verb, terminal, kLayerEndings);
  addCommonOptions(*verb, terminal, {.level = true, .strict = true});
  verb->callback([request, &terminal] {
    request->level = terminal.level;
    auto progress = terminal.progress();
    auto rates = study::smoothAreas(*request, progress);
    if (!rates) return terminal.fail(rates.problem());
    if (request->by == "gamma-poisson") terminal.say(fmt::format("Intervals at {:.0f} %", request->level * 100));
    terminal.deliver(rates->layer, {.refused = std::move(rates->refused)});
  });
}

}  // namespace leeward::command
