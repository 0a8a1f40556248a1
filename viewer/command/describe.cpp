#include <memory>
#include <string>

#include "shared/base/version.h"
#include "viewer/command/manual.h"
#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"

namespace leeward::command {

void addDescribe(CLI::App& app, Terminal& terminal) {
  auto* manual = app.add_subcommand("manual", "Print the manual page")->group("");
  manual->callback([&app, &terminal] { terminal.print(manualPage(app, kVersion)); });
  auto* completion = app.add_subcommand("completion", "Print a shell's completion script")->group("");
  auto shell = std::make_shared<std::string>();
  completion->add_option("SHELL", *shell, "Shell")->required()->check(CLI::IsMember({"bash", "zsh", "fish"}));
  completion->callback([&app, shell, &terminal] { terminal.print(completionScript(app, *shell)); });
}

}  // namespace leeward::command
