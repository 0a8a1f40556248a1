#include <memory>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "viewer/sheets/brief.h"
#include "viewer/sheets/sheet.h"

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/draw/type.h"
#include "viewer/sheets/study_outputs.h"

namespace leeward::command {
namespace {

struct PaperRequest {
  study::RunRequest run;
  std::string kind;
  bool is_report = false;  ///< of a frozen day: from the records as first reported
  bool with_late = false;
};

using WritePaper = Result<void> (*)(const study::RunOutcome&, const std::string&, const std::string&, Progress&);

void write(const PaperRequest& request, WritePaper write_paper, Terminal& terminal) {
  const draw::PaintingApplication application;
  auto progress = terminal.progress();
  auto run = request.run;
  if (request.is_report) run.records = request.with_late ? study::Records::FrozenAnew : study::Records::AsFirstReported;
  auto running = progress.part(0, 0.7);
  auto outcome = study::runStudy(run, running);
  if (!outcome) return terminal.fail(outcome.problem());
  auto writing = progress.part(0.7, 1);
  if (auto written = write_paper(*outcome, request.kind, terminal.output, writing); !written) return terminal.fail(written.problem());
  if (terminal.json) return terminal.print("{\"output\":" + jsonText(terminal.output) + "}\n");
  if (outcome->newly_frozen) terminal.say(study::nowFrozenInWords(*outcome->newly_frozen));
  if (outcome->since_frozen) terminal.say(inWords(*outcome->since_frozen));
  terminal.say(terminal.output + " is written. It holds client data: for the crew only.");
}

/// The kinds' names and words are looked at before the study is: a wrong one ends at once.
template <class Kinds>
void addPaper(CLI::App& app, Terminal& terminal, const char* name, const std::string& about, const Kinds& kinds, const std::vector<std::string>& endings, WritePaper write_paper, bool is_report) {
  std::vector<std::string> names;
  std::string words;
  for (const auto& kind : kinds) {
    names.emplace_back(kind.name);
    words += fmt::format("  {:<10} {}\n", kind.name, kind.words);
  }
  auto* verb = app.add_subcommand(name, about);
  auto request = std::make_shared<PaperRequest>();
  request->is_report = is_report;
  if (is_report) verb->add_flag("--with-late", request->with_late, "Take in what came in since this day was first reported, and freeze its figures anew");
  verb->add_option("DIR", request->run.folder, "Folder of the study")->required();
  verb->add_option("KIND", request->kind, "Kind; see below")->required()->check(CLI::IsMember(names));
  addDay(*verb, "--as-of", request->run.as_of, "Figures as of the end of this day, instead of the study file's");
  addOutput(*verb, terminal, endings)->required();
  verb->footer("Kinds:\n" + words);
  addCommonOptions(*verb, terminal, {.seed = true, .level = true});
  verb->callback([request, verb, write_paper, &terminal] {
    if (verb->count("--seed") > 0) request->run.seed = terminal.seed;
    if (verb->count("--level") > 0) request->run.level = terminal.level;
    write(*request, write_paper, terminal);
  });
}

}  // namespace

void addSheet(CLI::App& app, Terminal& terminal) {
  addPaper(app, terminal, "sheet", "One map sheet, for the crew (stamped)", sheets::sheetKinds(), {".pdf", ".svg", ".png"}, sheets::writeOneSheet, false);
}

void addBrief(CLI::App& app, Terminal& terminal) {
  addPaper(app, terminal, "brief", "A report of several pages, for the crew (stamped)", sheets::briefKinds(), {".pdf"}, sheets::writeOneBrief, true);
}

}  // namespace leeward::command
