#include <memory>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/run_study.h"

namespace leeward::command {

void addChanged(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("changed", "What changed for the dogs, by area and period");
  struct Request {
    study::ChangedStudyRequest changed;
    std::string every = "quarter", as_of;
  };
  auto request = std::make_shared<Request>();
  verb->add_option("DIR", request->changed.run.folder, "Folder of the study")->required();
  verb->add_option("--by", request->changed.by, "Kind of area layer: jurisdictions, areas, blocks, boundary (without it: the whole study)");
  verb->add_option("--every", request->every, "Period")->check(CLI::IsMember({"month", "quarter", "year"}))->capture_default_str();
  verb->add_option("--as-of", request->as_of, "Figures as of the end of this day, YYYY-MM-DD");
  verb->add_option("-o", terminal.output, "Output (.csv)");
  addCommonOptions(*verb, terminal);
  verb->callback([request, &terminal] {
    request->changed.every = *parseEvery(request->every);
    if (!request->as_of.empty()) {
      request->changed.run.as_of = parseIsoDate(request->as_of);
      if (!request->changed.run.as_of) return terminal.fail({ProblemCode::InvalidArgument, fmt::format("\"{}\" is no day", request->as_of), "--as-of", "Write it like 2025-09-30"});
    }
    auto progress = terminal.progress();
    auto table = study::whatChanged(request->changed, progress);
    if (!table) return terminal.fail(table.problem());
    Layer layer;
    layer.name = "changed";
    layer.table = std::move(*table);
    terminal.say("Change, not effect: nothing here says that the visits caused it. Dogs met are counted once a period; don't add them up over periods.");
    terminal.deliver(layer);
  });
}

}  // namespace leeward::command
