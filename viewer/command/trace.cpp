#include <memory>
#include <string>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/trace.h"

namespace leeward::command {

void addTrace(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("trace", "Where an output came from: its inputs, parameters, seed, day, by its content");
  struct Call {
    std::string file, folder;
  };
  auto call = std::make_shared<Call>();
  verb->add_option("FILE", call->file, "A file that this study wrote")->required();
  verb->add_option("--study", call->folder, "Folder of the study")->required();
  addCommonOptions(*verb, terminal);
  verb->callback([call, &terminal] {
    auto progress = terminal.progress();
    const auto trace = study::traceOutput(call->file, call->folder, progress);
    if (!trace) return terminal.fail(trace.problem());
    if (terminal.json) {
      return terminal.print("{\"sha256\":" + jsonText(trace->sha256) + ",\"file\":" + jsonText(trace->file_name) + ",\"audience\":" + jsonText(trace->audience) + ",\"made_at\":" + jsonText(trace->made_at) +
                            ",\"receipt\":" + trace->receipt + "}\n");
    }
    for (const auto& line : describe(*trace)) terminal.print(line + "\n");
  });
}

}  // namespace leeward::command
