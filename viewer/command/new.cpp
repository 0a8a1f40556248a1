#include <memory>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/new_study.h"

namespace leeward::command {

void addNew(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("new", "Make a study: a folder with study.toml and an empty ledger");
  auto request = std::make_shared<study::NewStudyRequest>();
  verb->add_option("DIR", request->folder, "Folder of the study")->required();
  verb->add_option("--name", request->name, "What the area is called")->required();
  verb->add_option("--area", request->area_file, "File with the area's outline");
  verb->add_option("--crs", request->crs, "Frame for areas and distances: auto, or EPSG:n (projected, metres)")->capture_default_str();
  addCommonOptions(*verb, terminal);
  verb->callback([request, &terminal] {
    auto progress = terminal.progress();
    if (auto made = study::newStudy(*request, progress); !made) return terminal.fail(made.problem());
    if (terminal.json) return terminal.print("{\"study\":" + jsonText(request->folder.string()) + "}\n");
    terminal.say("Made a study in " + request->folder.string());
    terminal.say("Next: bring in public layers and your visits, e.g.");
    terminal.say("  leeward take-in " + request->folder.string() + " premises address_points.csv");
    terminal.say("  leeward take-in " + request->folder.string() + " visits visits.xlsx");
  });
}

}  // namespace leeward::command
