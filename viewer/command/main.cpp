#include <algorithm>
#include <clocale>
#include <cstdio>
#include <exception>
#include <string_view>

#include <CLI/CLI.hpp>

#include "shared/base/heap.h"
#include "shared/base/version.h"
#include "viewer/command/passphrase.h"
#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"

namespace {

constexpr const char* kAbout =
    "Leeward helps a small outreach team see where it has been, where nobody has looked, where to go next, and what changed for the dogs.";
constexpr const char* kOnStudies = "On a study";
constexpr const char* kFooter =
    "Inputs are FILE or FILE#LAYER. -o OUT: format by extension; without it CSV goes to standard output.\n"
    "Exit status: 0 done; 2 the call is wrong; 3 an input can't be used; 4 could not finish; 130 stopped.\n"
    "leeward VERB --help tells more.";

/// Says so if the first word is no verb; the parser alone would only ask for one.
bool isUnknownVerb(CLI::App& app, std::string_view word) {
  std::string verbs;
  for (const CLI::App* verb : app.get_subcommands([](const CLI::App*) { return true; })) {
    if (verb->get_name() == word) return false;
    if (verb->get_group().empty()) continue;  // for the installation, not for people
    verbs += (verbs.empty() ? "" : ", ") + verb->get_name();
  }
  std::fprintf(stderr, "leeward: there is no verb \"%s\". Verbs are %s.\n", std::string(word).c_str(), verbs.c_str());
  return true;
}

bool asksForJson(int argc, char** argv) {
  return std::any_of(argv + 1, argv + argc, [](const char* word) { return std::string_view(word) == "--json"; });
}

/// "leeward take-in": as far as the call names a verb.
std::string callOf(int argc, char** argv) { return argc > 1 && argv[1][0] != '-' ? std::string("leeward ") + argv[1] : "leeward"; }

}  // namespace

int main(int argc, char** argv) {
  using namespace leeward::command;
  std::setlocale(LC_ALL, "C.UTF-8");
  leeward::useLargePages();
  catchSignals();
  Terminal terminal;
  CLI::App app{kAbout, "leeward"};
  app.set_version_flag("--version", leeward::kVersion);
  app.footer(kFooter);
  app.require_subcommand(1);
  using Add = void (*)(CLI::App&, Terminal&);
  const auto addGroup = [&](const char* group, std::initializer_list<Add> verbs) {
    for (const Add add : verbs) {
      add(app, terminal);
      CLI::App* verb = app.get_subcommands([](const CLI::App*) { return true; }).back();
      verb->group(group);
      if (std::string_view(group) == kOnStudies) addPassphrase(*verb);
    }
  };
  addGroup(kOnStudies, {addNew, addTemplate, addTakeIn, addTakeBack, addSettle, addRun, addNext, addChanged, addDue, addStock, addSheet, addBrief, addHandOver, addTrace, addForget, addSeal, addBackup, addView});
  addGroup("On bare files", {addParse, addPlace, addCluster, addLocate, addApportion, addZonal, addSmooth, addHotspots, addRegress, addScan, addDensity, addClasses, addFeelsLike, addTrend, addLasting});
  addDescribe(app, terminal);
  if (argc > 1 && argv[1][0] != '-' && isUnknownVerb(app, argv[1])) return 2;
  try {
    app.parse(argc, argv);
  } catch (const CLI::RuntimeError& ended) {  // a verb that said why before it began
    return ended.get_exit_code();
  } catch (const CLI::ParseError& error) {
    const int shown = app.exit(error);  // help and version end well; all else is a wrong call
    if (shown == 0) return 0;
    if (asksForJson(argc, argv)) terminal.print(problemAsJson({leeward::ProblemCode::InvalidArgument, error.what(), callOf(argc, argv), callOf(argc, argv) + " --help shows how it is called"}));
    return 2;
  } catch (const std::exception& error) {  // no memory, a folder that may not be entered: an end with a status, not a crash
    std::fprintf(stderr, "leeward: could not finish: %s\n", error.what());
    return 4;
  }
  return terminal.status;
}
