#include <memory>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/take_back.h"

namespace leeward::command {
namespace {

void showImports(const study::TakeBackRequest& request, Terminal& terminal) {
  const auto imports = study::listImports(request.folder);
  if (!imports) return terminal.fail(imports.problem());
  if (terminal.json) {
    auto json = nlohmann::ordered_json::array();
    for (const auto& one : *imports) {
      json.push_back({{"id", study::shortId(one)}, {"taken_in", one.imported_at}, {"kind", one.kind}, {"file", one.file_name}, {"rows", one.rows}, {"refused", one.refused}, {"decisions", one.decisions}});
    }
    return terminal.print("{\"imports\":" + json.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "}\n");
  }
  if (imports->empty()) return terminal.say("No file of the crews' was taken in yet.");
  std::string text = fmt::format("{:<9} {:<17} {:<10} {:>8} {:>8}  {}\n", "id", "taken in (UTC)", "kind", "rows", "refused", "file");
  for (const auto& one : *imports) {
    text += fmt::format("{:<9} {:<17} {:<10} {:>8} {:>8}  {}\n", study::shortId(one), one.imported_at.substr(0, 10) + " " + one.imported_at.substr(11, 5), one.kind, one.rows, one.refused, one.file_name);
  }
  terminal.print(text);
  terminal.say("To take one back: leeward take-back " + request.folder.string() + " ID");
}

}  // namespace

void addTakeBack(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("take-back", "List the files that were taken in, or take one back out of the ledger");
  auto request = std::make_shared<study::TakeBackRequest>();
  verb->add_option("DIR", request->folder, "Folder of the study")->required();
  verb->add_option("IMPORT", request->import, "Its id from the list, or its file name; without it (or with list): the list");
  verb->add_flag("--yes", request->decided_too, "Even if addresses of it were settled by hand");
  addCommonOptions(*verb, terminal);
  verb->callback([request, &terminal] {
    if (request->import.empty() || request->import == "list") return showImports(*request, terminal);
    auto progress = terminal.progress();
    const auto done = study::takeBack(*request, progress);
    if (!done) return terminal.fail(done.problem());
    for (const auto& line : study::describe(*request, *done)) terminal.say(line);
    if (terminal.json) {
      const nlohmann::ordered_json json{{"taken_back", study::shortId(*done)}, {"file", done->file_name}, {"kind", done->kind}, {"rows", done->rows}, {"corrected", done->corrected}, {"repeated_in", done->repeated_in}};
      terminal.print(json.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n");
    }
  });
}

}  // namespace leeward::command
