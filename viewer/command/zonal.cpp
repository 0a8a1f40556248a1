#include <memory>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/zonal_areas.h"

namespace leeward::command {

void addZonal(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("zonal", "Statistics of a raster over areas, cells weighted by exact coverage");
  auto request = std::make_shared<study::ZonalAreasRequest>();
  verb->add_option("AREAS", request->areas.source, "File with areas")->required();
  verb->add_option("RASTER", request->raster, "GeoTIFF or ASCII grid (first band)")->required();
  verb->add_option("--stats", request->statistics, "mean,min,max,sd,median,quantile:Q,share-above:X")->capture_default_str();
  verb->add_option("--crs", request->areas.crs, "Coordinates of areas that don't say: EPSG:n")->type_name("CRS")->check(crsText());
  addOutput(*verb, terminal, kLayerEndings);
  addCommonOptions(*verb, terminal, {.strict = true});
  verb->callback([request, &terminal] {
    auto progress = terminal.progress();
    auto found = study::zonalAreas(*request, progress);
    if (!found) return terminal.fail(found.problem());
    terminal.deliver(found->layer, {.refused = std::move(found->refused)});
  });
}

}  // namespace leeward::command
