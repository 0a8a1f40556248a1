#include <memory>
#include <string>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/new_study.h"

namespace leeward::command {

void addBackup(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("backup", "Copy the ledger, consistent even while it is in use (the copy holds client data)");
  struct Request {
    std::string folder, copy;
  };
  auto request = std::make_shared<Request>();
  verb->add_option("DIR", request->folder, "Folder of the study")->required();
  verb->add_option("FILE", request->copy, "The copy to write")->required();
  addCommonOptions(*verb, terminal);
  verb->callback([request, &terminal] {
    auto progress = terminal.progress();
    if (auto done = study::backupStudy(request->folder, request->copy, progress); !done) return terminal.fail(done.problem());
    if (terminal.json) return terminal.print("{\"backup\":" + jsonText(request->copy) + "}\n");
    terminal.say("The ledger is copied to " + request->copy + ". It holds client data: keep it where nobody else reads it.");
  });
}

}  // namespace leeward::command
