#include <map>
#include <memory>
#include <string>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/class_limits.h"

namespace leeward::command {

void addClasses(CLI::App& app, Terminal& terminal) {
  static const std::map<std::string, analysis::ClassesBy> kWays = {
      {"quantile", analysis::ClassesBy::Quantile}, {"equal", analysis::ClassesBy::Equal}, {"natural", analysis::ClassesBy::Natural}};
  auto* verb = app.add_subcommand("classes", "Class limits of a column, for a legend");
  struct Call {
    study::ClassLimitsRequest limits;
    std::string by = "quantile";
  };
  auto call = std::make_shared<Call>();
  verb->add_option("TABLE", call->limits.table.source, "File with rows")->required();
  verb->add_option("--value", call->limits.value, "Column with the values")->required()->type_name("COLUMN");
  auto* count = verb->add_option("--count", call->limits.count, "How many classes, 1 to 64")->check(CLI::Range(std::size_t{1}, std::size_t{64}))->type_name("N");
  verb->add_option("--by", call->by, "Equal numbers of values (type 7 of Hyndman & Fan 1996), equal steps, or least deviation within classes (Fisher 1958, Jenks 1977)")
      ->check(CLI::IsMember(&kWays))->capture_default_str();
  auto* fixed = verb->add_option("--limits", call->limits.fixed, "Limits that are given, rising: 0,5,10,50")->delimiter(',')->type_name("X,...")->check(CLI::Number);
  verb->add_flag("--readable", call->limits.readable, "Limits with few digits that move no row to another class");
  addOutput(*verb, terminal, kTableEndings);
  addCommonOptions(*verb, terminal, {.strict = true});
  verb->footer("A row a class: class, lower, upper, count, goodness_of_variance_fit. With --json also limits and counts as lists. The first class holds its lower\n"
               "limit, all others only the upper one.");
  verb->callback([call, count, fixed, &terminal] {
    if (count->count() + fixed->count() == 0 || (count->count() > 0 && fixed->count() > 0)) {
      return terminal.fail({ProblemCode::InvalidArgument, "either the number of classes or their limits must be said", "--count", "Add --count N, or --limits X,X,..."});
    }
    call->limits.by = kWays.at(call->by);
    auto progress = terminal.progress();
    auto found = study::classLimits(call->limits, progress);
    if (!found) return terminal.fail(found.problem());
    const nlohmann::ordered_json limits = found->classes.limits, counts = found->classes.counts, fit = found->classes.goodness_of_variance_fit;
    terminal.say(fmt::format("Goodness of variance fit {:.4f}", found->classes.goodness_of_variance_fit));
    terminal.deliver(found->layer, {.refused = std::move(found->refused),
                                    .members = fmt::format("\"by\":\"{}\",\"limits\":{},\"counts\":{},\"goodness_of_variance_fit\":{},\"missing\":{},\"outside\":{}", call->limits.fixed.empty() ? call->by : "limits", limits.dump(),
                                                           counts.dump(), fit.dump(), found->missing, found->outside)});
  });
}

}  // namespace leeward::command
