#include <cmath>
#include <memory>
#include <string>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/lasting_times.h"

namespace leeward::command {
namespace {

std::string groupInWords(const study::LastingAnswer::Group& group, bool competing) {
  std::string text = fmt::format("{}{} subjects, {} outcomes", group.name.empty() ? "" : group.name + ": ", group.subjects, group.events);
  if (competing) return text;
  return text + (std::isnan(group.median_days) ? "; half never came to it" : fmt::format("; half within {:.0f} days", group.median_days));
}

}  // namespace

void addLasting(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("lasting", "Time to an outcome: Kaplan-Meier with log-rank, or Aalen-Johansen for competing outcomes");
  auto request = std::make_shared<study::LastingRequest>();
  verb->add_option("TABLE", request->table.source, "File with a row a subject")->required();
  verb->add_option("--from", request->from, "Column with the first day")->required()->type_name("COLUMN");
  verb->add_option("--to", request->to, "Column with the day of the outcome, or the last day seen")->required()->type_name("COLUMN");
  verb->add_option("--event", request->event, "Column that says whether the outcome came: yes or no, 1 or 0; with --competing which one")->required()->type_name("COLUMN");
  verb->add_option("--by", request->by, "Column that parts the subjects into groups")->type_name("COLUMN");
  verb->add_flag("--competing", request->competing, "The outcomes keep each other from happening: shares that came to each");
  addOutput(*verb, terminal, kTableEndings);
  addCommonOptions(*verb, terminal, {.level = true, .strict = true});
  verb->footer("A row a time with an outcome: days, at_risk, events, without (the share still without it), se (Greenwood), low, high (on log(-log)). With --competing: outcome\n"
               "and share (who came to it by then) instead. Times run to the day in --to: a change that is known only between two visits came earlier than the\n"
               "visit that showed it.");
  verb->callback([request, &terminal] {
    request->level = terminal.level;
    auto progress = terminal.progress();
    auto answer = study::lastingTimes(*request, progress);
    if (!answer) return terminal.fail(answer.problem());
    nlohmann::ordered_json groups = nlohmann::ordered_json::array();
    for (const auto& group : answer->groups) {
      terminal.say(groupInWords(group, request->competing));
      groups.push_back({{"by", group.name}, {"subjects", group.subjects}, {"events", group.events}});
      if (!request->competing) groups.back()["median_days"] = group.median_days;
    }
    std::string members = "\"groups\":" + groups.dump();
    if (const auto& difference = answer->difference) {
      terminal.say(fmt::format("Log-rank chi-square {:.3f} with {} degrees of freedom, p {:.3g}", difference->chi_square, difference->degrees, difference->p));
      members += ",\"log_rank\":" + nlohmann::ordered_json{{"chisq", difference->chi_square}, {"df", difference->degrees}, {"p", difference->p}}.dump();
    }
    terminal.say(fmt::format("Intervals at {:.0f} %", 100 * terminal.level));
    terminal.deliver(answer->layer, {.refused = std::move(answer->refused), .members = members});
  });
}

}  // namespace leeward::command
