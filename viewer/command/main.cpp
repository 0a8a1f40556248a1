#include <clocale>
#include <cstdio>
#include <exception>

#include <CLI/CLI.hpp>

#include "shared/base/version.h"
#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"

namespace {

constexpr const char* kAbout =
    "Leeward helps a small outreach team see where it has been, where nobody has looked, where to go next, and what changed for the dogs.";
constexpr const char* kFooter =
    "Inputs are FILE or FILE#LAYER. -o OUT: format by extension; without it CSV goes to standard output.\n"
    "Exit status: 0 done; 2 the call is wrong; 3 an input can't be used; 4 could not finish; 130 stopped.\n"
    "leeward VERB --help tells more.";

}  // namespace

int main(int argc, char** argv) {
  using namespace leeward::command;
  std::setlocale(LC_ALL, "C.UTF-8");
  catchSignals();
  Terminal terminal;
  CLI::App app{kAbout, "leeward"};
  app.set_version_flag("--version", leeward::kVersion);
  app.footer(kFooter);
  app.require_subcommand(1);
  for (const auto add : {addNew, addTakeIn, addRun, addNext, addChanged, addSheet, addBrief, addBackup, addView, addParse, addPlace, addCluster,
                         addZonal, addSmooth}) {
    add(app, terminal);
  }
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    const int shown = app.exit(error);  // help and version end well; all else is a wrong call
    return shown == 0 ? 0 : 2;
  } catch (const std::exception& error) {  // no memory, a folder that may not be entered: an end with a status, not a crash
    std::fprintf(stderr, "leeward: could not finish: %s\n", error.what());
    return 4;
  }
  return terminal.status;
}
