#include <algorithm>
#include <iostream>
#include <memory>

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <unistd.h>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/new_study.h"
#include "viewer/study/propose.h"
#include "viewer/study/take_in.h"

namespace leeward::command {
namespace {

struct NewRequest {
  study::NewStudyRequest study;
  std::string from;  ///< folder of files
  bool yes = false;
};

bool canAsk(const Terminal& terminal) { return !terminal.json && isatty(STDIN_FILENO) != 0 && isatty(STDERR_FILENO) != 0; }

/// What the person types after the question; "" at the end of input.
std::string ask(const std::string& question) {
  std::cerr << question << std::flush;
  std::string answer;
  std::getline(std::cin, answer);
  const auto first = answer.find_first_not_of(" \t\r"), last = answer.find_last_not_of(" \t\r");
  return first == std::string::npos ? "" : answer.substr(first, last - first + 1);
}

bool isYes(const std::string& answer) { return answer.empty() || answer.starts_with('y') || answer.starts_with('Y'); }

std::string inWords(const study::Proposal& proposal) {
  const std::string name = proposal.file.filename().string() + (proposal.layer.empty() ? "" : "#" + proposal.layer);
  if (proposal.kind.empty()) return fmt::format("  {}: left aside; {}", name, proposal.why);
  std::string text = fmt::format("  {}: {} ({:.2f}; {})", name, proposal.kind, proposal.confidence, proposal.why);
  for (const auto& shown : proposal.shown) text += "\n      " + shown;
  return text;
}

/// A word for shells.
std::string quoted(const std::string& word) { return word.find_first_of(" '\"()&;$") == std::string::npos ? word : "'" + word + "'"; }

std::string commandFor(const NewRequest& request, const study::Proposal& proposal, const std::string& kind) {
  return fmt::format("leeward take-in {} {} {}", quoted(request.study.folder.string()), kind, quoted(proposal.source()));
}

/// The kind to take the file as: what the person says, else the proposal if it is sure; "" to leave it.
std::string chosenKind(const study::Proposal& proposal, const NewRequest& request, const Terminal& terminal) {
  if (request.yes) return proposal.isSure() ? proposal.kind : "";
  if (!canAsk(terminal)) return "";
  const std::string also = proposal.also.empty() ? "" : " (or " + proposal.also.front() + ")";
  const bool sure = proposal.confidence >= study::kLikelyProposal;
  const std::string answer = ask(fmt::format("Take {} in as {}?{} [{}, or another kind] ", proposal.file.filename().string(), proposal.kind, also,
                                             sure ? "Enter = yes, n = leave it" : "not sure; Enter = leave it, y = yes"));
  if (answer.empty()) return sure ? proposal.kind : "";
  if (isYes(answer) && answer.size() <= 3) return proposal.kind;
  return answer.starts_with('n') || answer.starts_with('N') ? "" : answer;
}

/// Takes the file in; asks for a unit where that is what is missing. False with the problem said.
bool take(const NewRequest& request, const study::Proposal& proposal, const std::string& kind, Terminal& terminal) {
  study::TakeInRequest taking;
  taking.folder = request.study.folder, taking.kind = kind, taking.file = proposal.source();
  taking.is_guided = !canAsk(terminal);
  auto progress = terminal.progress();
  auto outcome = study::takeIn(taking, progress);
  if (!outcome && kind == "weather" && canAsk(terminal) && outcome.problem().what.find("unit") != std::string::npos) {
    terminal.say(outcome.problem().what);
    taking.unit = ask("Are the temperatures in C or F? ");
    outcome = study::takeIn(taking, progress);
  }
  if (!outcome && kind == "heat" && canAsk(terminal) && outcome.problem().mend.find("--measures") != std::string::npos) {
    taking.heat_kind = ask("What does the heat layer measure: land surface, air, index or proxy? ");
    outcome = study::takeIn(taking, progress);
  }
  if (!outcome) {
    terminal.say(fmt::format("{} was left aside: {}", proposal.file.filename().string(), outcome.problem().text()));
    terminal.say("  Once that is mended: " + commandFor(request, proposal, kind));
    return false;
  }
  const auto lacksScale = [](const RefusedRow& row) { return row.reason.find("without its scale") != std::string::npos; };
  if (const auto lacking = std::ranges::count_if(outcome->report.refused, lacksScale); lacking > 0 && canAsk(terminal)) {
    terminal.say(fmt::format("{} body condition scores don't say their scale, and scales in use run in opposite directions.", lacking));
    const std::string scale = ask("five_ideal_first (1 ideal to 5 emaciated), five_thin_first (1 thin to 5 fat), nine_thin_first (1 thin to 9 fat); Enter = leave those rows out: ");
    if (!scale.empty()) {
      taking.map = "scale=" + scale;
      if (auto again = study::takeIn(taking, progress); again.ok()) outcome = std::move(again);
      else terminal.say(again.problem().text());
    }
  }
  terminal.say(fmt::format("{} as {}", proposal.file.filename().string(), kind));
  for (const auto& line : study::describe(taking, *outcome)) terminal.say("  " + line);
  if (!outcome->report.refused.empty()) terminal.say(fmt::format("  {} rows were refused, each with its reason in {}", outcome->report.refusedRows(), outcome->refused_file));
  return true;
}

nlohmann::ordered_json asJson(const study::Proposal& proposal, const std::string& taken_as) {
  return {{"file", proposal.file.filename().string()}, {"layer", proposal.layer}, {"kind", proposal.kind}, {"confidence", proposal.confidence}, {"why", proposal.why},
          {"samples", proposal.shown}, {"also", proposal.also}, {"taken_as", taken_as}};
}

/// Looks into the folder, shows what each file is, and takes in what is confirmed. The rest gets its command.
nlohmann::ordered_json takeFolder(const NewRequest& request, Terminal& terminal) {
  auto json = nlohmann::ordered_json::array();
  auto progress = terminal.progress();
  const auto proposals = study::lookInto(request.from, progress);
  if (!proposals) {
    terminal.fail(proposals.problem());
    return json;
  }
  terminal.say(fmt::format("In {} there are {} files or layers. They look like:", request.from, proposals->size()));
  for (const auto& proposal : *proposals) terminal.say(inWords(proposal));
  std::vector<std::string> later;
  for (const auto& proposal : *proposals) {
    const std::string kind = proposal.kind.empty() ? "" : chosenKind(proposal, request, terminal);
    const bool taken = !kind.empty() && take(request, proposal, kind, terminal);
    if (!proposal.kind.empty() && kind.empty()) later.push_back(commandFor(request, proposal, proposal.kind));
    json.push_back(asJson(proposal, taken ? kind : ""));
  }
  if (!later.empty()) terminal.say("Not taken in; look at them, and if the kind is right:");
  for (const auto& command : later) terminal.say("  " + command);
  return json;
}

void run(NewRequest& request, Terminal& terminal) {
  if (request.study.name.empty() && canAsk(terminal)) request.study.name = ask("What is the area called? ");
  if (request.from.empty() && canAsk(terminal) && !request.yes) {
    request.from = ask("A folder with files to look into (address points, streets, blocks, visits ... whatever they are called; Enter = none): ");
  }
  auto progress = terminal.progress();
  if (auto made = study::newStudy(request.study, progress); !made) return terminal.fail(made.problem());
  terminal.say("Made a study in " + request.study.folder.string());
  nlohmann::ordered_json json{{"study", request.study.folder.string()}};
  if (!request.from.empty()) json["files"] = takeFolder(request, terminal);
  if (terminal.status != 0) return;
  const auto steps = study::nextSteps(request.study.folder);
  if (!steps) return terminal.fail(steps.problem());
  if (terminal.json) {
    json["next"] = *steps;
    return terminal.print(json.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n");
  }
  terminal.say("Next:");
  for (const auto& step : *steps) terminal.say("  " + step);
}

}  // namespace

void addNew(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("new", "Make a study: a folder with study.toml and an empty ledger; asks for what is missing");
  auto request = std::make_shared<NewRequest>();
  verb->add_option("DIR", request->study.folder, "Folder of the study")->required();
  verb->add_option("--name", request->study.name, "What the area is called");
  verb->add_option("--from", request->from, "Folder with your files, whatever they are called: says what each looks like and takes in what you confirm");
  verb->add_flag("--yes", request->yes, "With --from: take in all files that are surely what they look like, without asking");
  verb->add_option("--area", request->study.area_file, "File with the area's outline");
  verb->add_option("--crs", request->study.crs, "Frame for areas and distances: auto, EPSG:n (projected, metres), or local (plane metres without a place)")->capture_default_str();
  addCommonOptions(*verb, terminal);
  verb->callback([request, &terminal] { run(*request, terminal); });
}

}  // namespace leeward::command
