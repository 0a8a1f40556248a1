#include <memory>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/sheets/study_outputs.h"
#include "viewer/study/run_study.h"

namespace leeward::command {
namespace {

void show(const study::RunOutcome& outcome, const sheets::StudyOutputs& outputs, Terminal& terminal) {
  const auto& totals = outcome.findings->totals;
  if (terminal.json) {
    nlohmann::ordered_json json{{"study", outcome.findings->name}, {"as_of", toIso(outcome.findings->as_of)}};
    for (const auto& step : outcome.steps) json["steps"].push_back({{"step", step.title}, {"up_to_date", step.up_to_date}, {"seconds", step.seconds}});
    for (const auto& output : outputs.files) json["outputs"].push_back({{"file", output.file}, {"what", output.what}, {"up_to_date", output.up_to_date}});
    json["totals"] = {{"blocks", totals.blocks}, {"blocks_never", totals.blocks_never}, {"blocks_told", totals.blocks_told}, {"blocks_unknown", totals.blocks_unknown}, {"doors", totals.doors}, {"doors_looked", totals.doors_looked},
                      {"looks", totals.looks}, {"visits", totals.visits}, {"dogs_known", totals.dogs_known}, {"unmet", totals.unmet},
                      {"dogs_met", totals.dogs_met}, {"given_up", totals.given_up}, {"improved", totals.improved}, {"improved_of", totals.improved_of},
                      {"neutered", totals.neutered}, {"referred", totals.referred}};
    const Table& told = outcome.findings->patterns.told;
    json["told"] = nlohmann::ordered_json::array();
    for (std::size_t row = 0; row < told.rows(); ++row) {
      nlohmann::ordered_json one;
      for (std::size_t column = 0; column < told.width(); ++column) one[told.column(column).name()] = told.column(column).asText(row);
      json["told"].push_back(std::move(one));
    }
    return terminal.print(json.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n");
  }
  for (const auto& step : outcome.steps) {
    terminal.say(step.up_to_date ? fmt::format("  {:<42} up to date", step.title) : fmt::format("  {:<42} {:.2f} s", step.title, step.seconds));
  }
  terminal.say(fmt::format("{}, as of {}: {} blocks ({} where no door was ever looked at), {} of {} doors looked at, {} dogs known, about {:.0f} ({:.0f} to {:.0f}, {:.0f} %) not yet met.",
                           outcome.findings->name, toWords(outcome.findings->as_of), totals.blocks, totals.blocks_never, totals.doors_looked, totals.doors,
                           totals.dogs_known, totals.unmet, totals.unmet_low, totals.unmet_high, outcome.findings->level * 100));
  for (const auto& remark : outcome.findings->remarks) terminal.say("Note: " + remark);
  if (outputs.files.empty()) return terminal.say("The study is sealed, so no sheets are written into its folder: run -o FOLDER writes them elsewhere.");
  terminal.say("For the crew (these files hold client data):");
  for (const auto& output : outputs.files) terminal.say(fmt::format("  {}{}", output.file, output.up_to_date ? "  (up to date)" : ""));
}

}  // namespace

void addRun(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("run", "Bring a study up to date: all stale steps, then the crew's sheets, briefs and tables");
  auto request = std::make_shared<study::RunRequest>();
  verb->add_option("DIR", request->folder, "Folder of the study")->required();
  addDay(*verb, "--as-of", request->as_of, "Figures as of the end of this day, instead of the study file's");
  verb->add_option("-o", terminal.output, "Folder for the crew's sheets, instead of the study's out (needed for a sealed study)");
  addCommonOptions(*verb, terminal, {.seed = true, .level = true});
  verb->callback([request, verb, &terminal] {
    if (verb->count("--seed") > 0) request->seed = terminal.seed;
    if (verb->count("--level") > 0) request->level = terminal.level;
    auto progress = terminal.progress();
    auto running = progress.part(0, 0.6);
    auto outcome = study::runStudy(*request, running);
    if (!outcome) return terminal.fail(outcome.problem());
    auto writing = progress.part(0.6, 1);
    auto outputs = sheets::writeStudyOutputs(*outcome, writing, terminal.output);
    if (!outputs) return terminal.fail(outputs.problem());
    progress.report(1);
    show(*outcome, *outputs, terminal);
  });
}

}  // namespace leeward::command
