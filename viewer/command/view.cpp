#include <cerrno>
#include <cstring>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include <unistd.h>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"

namespace leeward::command {

void addView(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("view", "Open the window on a study");
  auto folder = std::make_shared<std::string>();
  verb->add_option("DIR", *folder, "Folder of the study");
  addCommonOptions(*verb, terminal);
  verb->callback([folder, &terminal] {
    // The window is a program of its own beside this one, so that the command never loads widgets.
    std::error_code error;
    const auto here = std::filesystem::read_symlink("/proc/self/exe", error).parent_path();
    const std::string program = (here / "leeward-window").string();
    std::vector<char*> arguments{const_cast<char*>(program.c_str())};
    if (!folder->empty()) arguments.push_back(folder->data());
    arguments.push_back(nullptr);
    execv(program.c_str(), arguments.data());
    terminal.fail({ProblemCode::NotFound, std::string("the window could not be started (") + std::strerror(errno) + ")", program,
                   "It should lie beside the leeward command; build the target leeward-window"});
  });
}

}  // namespace leeward::command
