#include <memory>
#include <string>

#include <fmt/format.h>

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
};

using WritePaper = Result<void> (*)(const study::RunOutcome&, const std::string&, const std::string&, Progress&);

void write(const PaperRequest& request, WritePaper write_paper, Terminal& terminal) {
  const draw::PaintingApplication application;
  auto progress = terminal.progress();
  auto running = progress.part(0, 0.7);
  auto outcome = study::runStudy(request.run, running);
  if (!outcome) return terminal.fail(outcome.problem());
  auto writing = progress.part(0.7, 1);
  if (auto written = write_paper(*outcome, request.kind, terminal.output, writing); !written) return terminal.fail(written.problem());
  if (terminal.json) return terminal.print("{\"output\":" + jsonText(terminal.output) + "}\n");
  terminal.say(terminal.output + " is written. It holds client data: for the crew only.");
}

void addPaper(CLI::App& app, Terminal& terminal, const char* name, const std::string& about, const std::string& kinds, const char* endings, WritePaper write_paper) {
  auto* verb = app.add_subcommand(name, about);
  auto request = std::make_shared<PaperRequest>();
  verb->add_option("DIR", request->run.folder, "Folder of the study")->required();
  verb->add_option("KIND", request->kind, "Kind; see below")->required();
  verb->add_option("-o", terminal.output, endings)->required();
  verb->footer("Kinds:\n" + kinds);
  addCommonOptions(*verb, terminal);
  verb->callback([request, write_paper, &terminal] { write(*request, write_paper, terminal); });
}

}  // namespace

void addSheet(CLI::App& app, Terminal& terminal) {
  std::string kinds;
  for (const auto& kind : sheets::sheetKinds()) kinds += fmt::format("  {:<10} {}\n", kind.name, kind.words);
  addPaper(app, terminal, "sheet", "One map sheet, for the crew (stamped)", kinds, "Output (.pdf .svg .png)", sheets::writeOneSheet);
}

void addBrief(CLI::App& app, Terminal& terminal) {
  addPaper(app, terminal, "brief", "A report of several pages, for the crew (stamped)", "  board      where we have been, where next, what changed, how sure that is\n", "Output (.pdf)",
           sheets::writeOneBrief);
}

}  // namespace leeward::command
